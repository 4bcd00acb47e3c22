"""The dilution helper at the can. It records nothing, so that its form may be asked for again and again."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.forms import Form
from dashboard.pages.area import Area
from dashboard.views.can import CAN_SIZES, COUNTS, CanView, can_view, measured_in, ratio_in
from station.domain.cautions import Step, cautions_for


class CanPages(Area):
    """Juice and water."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [Route("/feeding/can", self.can), Route("/feeding/can/worked", self.worked)]

    def can(self, request: Request) -> Response:
        """The helper."""
        form, view = self._asked(request)
        return self._frame.filled(
            request,
            "can",
            form=form,
            can=view,
            alone=False,
            counts=COUNTS,
            sizes=CAN_SIZES[self._desk.manner.measures],
            cautions=cautions_for(Step.DILUTE),
        )

    def worked(self, request: Request) -> Response:
        """Only what was worked out: asked for while somebody types."""
        form, view = self._asked(request)
        return self._frame.filled(request, "can_worked", form=form, can=view, alone=True)

    def _asked(self, request: Request) -> tuple[Form, CanView | None]:
        form = Form.asked(request.query_params)
        ratio, known = ratio_in(form), measured_in(form, self._desk.manner.measures)
        bottles = self._records.bottles()
        return form, can_view(known, ratio, bottles, self._desk.manner) if form.ok else None
