"""What a jar's own page shows beside the jar: the course of its days, and what to see to."""

from datetime import datetime

from fastapi import APIRouter
from pydantic import Field

from dashboard.api.asking import UNKNOWN, Name, area
from dashboard.api.models import Model, StepOut
from dashboard.desk import Desk
from dashboard.jar_told import JarTeller
from dashboard.views.jar import JarView, Told, jar_view
from dashboard.views.warmth import course_of
from station.domain.signs import Question, Sign


class WarmthOut(Model):
    """The warmth a jar had had by then."""

    at: datetime
    warm_days: float = Field(description="In days at 20 °C.")


class CourseOut(Model):
    """A jar's days, from its packing until it left the shelf, or until now."""

    jar: str
    shelf: list[StepOut] = Field(description="The shelf's course; steps in which nothing was written are left out.")
    warmth: list[WarmthOut] = Field(description="How its warmth grew, as far as it was measured.")

    @classmethod
    def of(cls, told: Told, now_at: datetime) -> "CourseOut":
        """Return the course of a jar's days as it is answered."""
        points = course_of(told.jar, told.outlook, told.buckets, now_at)
        return cls(
            jar=told.jar.id,
            shelf=[StepOut.of(bucket) for bucket in told.buckets],
            warmth=[WarmthOut(at=point.at, warm_days=point.warm_days) for point in points],
        )


class SignOut(Model):
    """A first sign that should show by now; answer with a note."""

    sign: Sign
    due_at: datetime
    text: str

    @classmethod
    def of(cls, question: Question) -> "SignOut":
        """Return a question as it is answered."""
        return cls(sign=question.sign, due_at=question.due_at, text=question.text)


class GuideOut(Model):
    """What to see to at a jar, in plain words."""

    jar: str
    warnings: list[str] = Field(description="Why it must be discarded, else what is wrong with its packing.")
    sign: SignOut | None = Field(description="What to look for now; null for nothing.")
    expecting: str = Field(
        description="What is to be seen first, and by when; or that it is to be looked at by the calendar; else empty."
    )
    belief: str = Field(description="What its need rests on; empty where it goes by days, or is off the shelf.")
    checklist: list[str] = Field(description="What to see to while packing.")
    cautions: list[str] = Field(description="Of the step it stands at.")

    @classmethod
    def of(cls, jar_id: str, view: JarView) -> "GuideOut":
        """Return what to see to as it is answered."""
        return cls(
            jar=jar_id,
            warnings=list(view.warnings),
            sign=None if view.sign is None else SignOut.of(view.sign),
            expecting=view.expecting,
            belief=view.belief,
            checklist=list(view.checklist),
            cautions=list(view.cautions),
        )


def jar_page_routes(desk: Desk) -> APIRouter:
    """Return the routes about a jar's days."""
    router, teller = area("/jars", "jars"), JarTeller(desk)

    @router.get("/{name}/course", summary="A jar's days: the shelf around it, and its warmth", responses=UNKNOWN)
    def get_course(name: Name) -> CourseOut:
        return CourseOut.of(teller.told(desk.books.jar(name)), desk.now())

    @router.get("/{name}/guide", summary="What to see to at a jar now", responses=UNKNOWN)
    def get_guide(name: Name) -> GuideOut:
        told = teller.told(desk.books.jar(name))
        return GuideOut.of(told.jar.id, jar_view(told, desk.now(), desk.manner))

    return router
