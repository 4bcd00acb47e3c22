"""Access: the login, and who is let in."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.access import LOGIN, at_this_machine, let_in, let_out, local_path
from dashboard.forms import REFUSED, SLOW_DOWN, Form, session_of
from dashboard.frame import Frame, elsewhere
from dashboard.pages.area import Area
from dashboard.slowdown import Slowdown, wait_words
from dashboard.views.access import browser_words, session_lines, token_lines
from station.errors import JarsideError
from station.store.access import Access
from station.store.passphrases import SHORTEST, AccessError

PAGE = "/access"
_WRONG = ("that is not the passphrase", "Look whether the capitals are right. Forgotten? Run: jarside passphrase")


class AccessPages(Area):
    """The login, the passphrase, sessions and tokens.

    Args:
        frame: around every page.
        access: what is known of those who are let in.
    """

    def __init__(self, frame: Frame, access: Access) -> None:
        super().__init__(frame)
        self._access = access
        self._slowdown = Slowdown()

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [
            *self._frame.form_route(LOGIN, self.login, self.log_in),
            *self._frame.form_route(PAGE, self.who, self.set_passphrase),
            self._frame.action("/logout", self.log_out),
            self._frame.action(f"{PAGE}/end", self.end),
            self._frame.action(f"{PAGE}/end-others", self.end_others),
            self._frame.action(f"{PAGE}/end-token", self.end_token),
        ]

    def login(self, request: Request, form: Form) -> Response:
        """The login page; who is let in already, or need not be, goes on."""
        after = local_path(form.text("next") or request.query_params.get("next", ""))
        if session_of(request) or not self._access.protected:
            return elsewhere(after)
        open_air = request.url.scheme != "https" and not at_this_machine(request.scope)
        return self._frame.filled(request, "login", form.status, form=form, after=after, open_air=open_air)

    def log_in(self, request: Request, form: Form, _: str) -> Response:
        """Take the passphrase, and begin a session under a new name."""
        self._check(request, form, "passphrase")
        if not form.ok:
            return self.login(request, form)
        self._access.end(session_of(request))
        return self._begun(request, local_path(form.text("next")))

    def _begun(self, request: Request, path: str) -> Response:
        browser = browser_words(request.headers.get("user-agent", ""))
        return let_in(elsewhere(path), request, self._access.begin(browser, self._desk.now()))

    def _check(self, request: Request, form: Form, field: str) -> None:
        """Compare the passphrase in a field, unless there is to be a wait."""
        if not form.ok:
            return
        address = request.client.host if request.client else ""
        wait_s = self._slowdown.asked(address, self._desk.now())
        if wait_s > 0.0:
            form.refuse(field, "there were several wrong passphrases", wait_words(wait_s))
            form.status = SLOW_DOWN
        elif not self._access.matches(form.text(field)):
            form.refuse(field, *_WRONG)
            form.status = REFUSED
        else:
            self._slowdown.right(address)

    def log_out(self, request: Request, form: Form, _: str) -> Response:
        """End this session."""
        if not form.ok:
            return self.who(request, form)
        self._access.end(session_of(request))
        return let_out(elsewhere(LOGIN))

    def who(self, request: Request, form: Form) -> Response:
        """Who is let in, and the form of the passphrase."""
        now_at, manner = self._desk.now(), self._desk.manner
        return self._frame.filled(
            request,
            "access",
            form.status,
            form=form,
            protected=self._access.protected,
            sessions=session_lines(self._access.sessions(now_at), session_of(request), manner),
            tokens=token_lines(self._access.tokens(), manner),
            shortest=SHORTEST,
        )

    def set_passphrase(self, request: Request, form: Form, _: str) -> Response:
        """Set the first passphrase, or another one."""
        protected = self._access.protected
        if form.ok and form.text("new") != form.text("again"):
            form.refuse("again", "the two are not the same", "Type the new passphrase twice.")
        if form.ok and protected:
            self._check(request, form, "old")
        if form.ok:
            self._set(form, session_of(request), protected=protected)
        if not form.ok:
            return self.who(request, form)
        return elsewhere(PAGE) if protected else self._begun(request, PAGE)

    def _set(self, form: Form, session: str, *, protected: bool) -> None:
        try:
            if protected:
                self._access.set_passphrase(form.text("new"), keep=session)
            elif not self._access.set_first_passphrase(form.text("new")):
                form.problem = JarsideError("a passphrase was set a moment ago", "Log in with it.")
        except AccessError as error:
            form.blame("new", error)

    def end(self, request: Request, form: Form, _: str) -> Response:
        """End one session."""
        if not form.ok:
            return self.who(request, form)
        self._access.end(form.text("session"))
        return elsewhere(PAGE)

    def end_others(self, request: Request, form: Form, _: str) -> Response:
        """End every session but this one."""
        if not form.ok:
            return self.who(request, form)
        self._access.end_others(session_of(request))
        return elsewhere(PAGE)

    def end_token(self, request: Request, form: Form, _: str) -> Response:
        """Let a program in no more."""
        if form.ok:
            try:
                self._access.end_token(form.text("program"))
            except AccessError as error:
                form.problem = error
        return elsewhere(PAGE) if form.ok else self.who(request, form)
