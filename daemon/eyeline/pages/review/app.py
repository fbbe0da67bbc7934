"""The page's addresses. Nothing is changed by GET."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.routing import Route

from eyeline.pages.review import render
from eyeline.pages.review.brief_view import BriefView
from eyeline.pages.review.delivery_view import DeliveryView
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.frame_view import FrameView
from eyeline.pages.review.sheet_view import SheetView
from eyeline.pages.review.stations_view import StationsView
from eyeline.pages.review.tune_view import TuneView


def app(desk: Desk) -> Starlette:
    """The application, without its gate."""
    frame, brief, tune, sheet = FrameView(desk), BriefView(desk), TuneView(desk), SheetView(desk)
    delivery = DeliveryView(desk)
    routes = [
        Route("/", brief.brief),
        Route("/sitter/next", brief.next_sitter, methods=["POST"]),
        Route("/aside", brief.aside),
        Route("/aside/{number:int}", brief.one_aside),
        Route("/frames", frame.frames),
        Route("/frame/{key}", frame.frame),
        Route("/frame/{key}/correct", frame.correct, methods=["POST"]),
        Route("/frame/{key}/undo", frame.undo, methods=["POST"]),
        Route("/crop/{key}/{slug}", frame.crop),
        Route("/crop/{key}/{slug}/judged", frame.crop_judged),
        Route("/picture/{key}/{kind}", frame.picture),
        Route("/sheet", sheet.sheet),
        Route("/sheet/file", sheet.file),
        Route("/tune", tune.tune),
        Route("/tune/judged", tune.judged),
        Route("/tune/save", tune.save, methods=["POST"]),
        Route("/tune/put-back", tune.put_back, methods=["POST"]),
        Route("/delivery", delivery.delivery),
        Route("/delivery/start", delivery.start, methods=["POST"]),
        Route("/delivery/report", delivery.report),
        Route("/delivery/stop", delivery.stop, methods=["POST"]),
        Route("/stations", StationsView(desk).stations),
        Route("/live", desk.live.stream),
        Route("/static/{name}", render.static),
    ]
    return Starlette(routes=routes, exception_handlers=dict(render.HANDLERS))
