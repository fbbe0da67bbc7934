"""What is published of the grammar of settings: JSON Schemas for editors, tables of keys for people."""

from __future__ import annotations

from typing import Any

from eyeline.settings.delivery_file import DeliveryTable
from eyeline.settings.grammar import BriefTable, ConfigurationTable, FolderFileTable
from eyeline.toml_files.key_table import key_table
from eyeline.toml_files.schema import schema_of


def schemas() -> dict[str, dict[str, Any]]:
    """The JSON Schema of each kind of file by its file name."""
    return {
        "configuration.schema.json": schema_of(ConfigurationTable, "eyeline configuration"),
        "folder.schema.json": schema_of(FolderFileTable, "eyeline.toml of a folder"),
        "delivery.schema.json": schema_of(DeliveryTable, "eyeline delivery"),
        "brief.schema.json": schema_of(BriefTable, "eyeline brief"),
    }


def configuration_keys() -> str:
    """Every key of the configuration as a Markdown table."""
    return key_table(ConfigurationTable)


def folder_file_keys() -> str:
    """Every key of a folder's own file, the brief included, as a Markdown table."""
    return key_table(FolderFileTable)


def delivery_keys() -> str:
    """Every key of `delivery.toml` as a Markdown table."""
    return key_table(DeliveryTable)
