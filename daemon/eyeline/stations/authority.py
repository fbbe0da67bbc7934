"""An authority of one's own that certifies machines (X.509, RFC 5280), by elliptic curve P-256."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from eyeline.errors import BadConfiguration


@dataclass(frozen=True, slots=True)
class Authority:
    """Certificate and private key of who certifies."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @classmethod
    def new(cls, since: datetime, until: datetime) -> Authority:
        """A new one, valid from `since` to `until`, that certifies machines and no other authority."""
        key = ec.generate_private_key(ec.SECP256R1())
        name = _named("eyeline stations")
        certificate = (
            _built(name, name, key.public_key(), since, until)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(_usage(certifies=True), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .sign(key, hashes.SHA256())
        )
        return cls(certificate, key)

    @classmethod
    def read(cls, certificate_pem: bytes, key_pem: bytes, folder: Path) -> Authority:
        """The one that was kept in `folder`. Raises BadConfiguration where it is damaged."""
        try:
            key = serialization.load_pem_private_key(key_pem, None)
            certificate = x509.load_pem_x509_certificate(certificate_pem)
        except (ValueError, TypeError) as error:
            key = None
            raise BadConfiguration(
                f"the authority's files are damaged ({error})",
                folder,
                "Restore them, or begin with a new folder",
            ) from error
        if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
            raise BadConfiguration(
                "the authority's key and certificate do not belong together",
                folder,
                "Begin with a new folder",
            )
        return cls(certificate, key)

    @property
    def certificate_pem(self) -> bytes:
        """The certificate, for every machine to know the authority by."""
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    @property
    def key_pem(self) -> bytes:
        """The private key, which certifies: for the one machine where certificates are made."""
        return _pem(self.key)

    def certify(self, machine: str, since: datetime, until: datetime) -> tuple[bytes, bytes]:
        """A certificate for `machine`, to serve and to ask, and its private key, both PEM."""
        key = ec.generate_private_key(ec.SECP256R1())
        until = min(until, self.certificate.not_valid_after_utc)
        both = [ExtendedKeyUsageOID.SERVER_AUTH, ExtendedKeyUsageOID.CLIENT_AUTH]
        certificate = (
            _built(_named(machine), self.certificate.subject, key.public_key(), since, until)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(_usage(certifies=False), critical=True)
            .add_extension(x509.ExtendedKeyUsage(both), critical=False)
            .add_extension(x509.SubjectAlternativeName([x509.DNSName(machine)]), critical=False)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key()), critical=False
            )
            .sign(self.key, hashes.SHA256())
        )
        return certificate.public_bytes(serialization.Encoding.PEM), _pem(key)


def _built(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, since: datetime, until: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(since)
        .not_valid_after(until)
    )


def _named(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _usage(certifies: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not certifies,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=certifies,
        crl_sign=certifies,
        encipher_only=False,
        decipher_only=False,
    )


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
