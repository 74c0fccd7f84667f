"""One process, a few threads: a door for this computer, and one for the home network if asked."""

from __future__ import annotations

import logging
import os
import shutil
import socket
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, cast

from pinfeather import clock
from pinfeather.actions.first.pretend import BACK, MARK
from pinfeather.actions.passing import gated
from pinfeather.actions.store import hold, open_store, ready_store, set_up
from pinfeather.cli.folder import data_folder
from pinfeather.errors import InputError, StoreError
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from ssl import SSLContext

    from segno import QRCode

_THREADS = 8
_BIGGEST_BODY = 24 * 1024 * 1024
_BIGGEST_HEADERS = 32 * 1024
_SILENT_S = 60

Start = Callable[..., object]
App = Callable[[dict[str, Any], Start], Iterable[bytes]]


class Server(Protocol):
    """What is used of waitress's server."""

    def run(self) -> None: ...

    def close(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Lan:
    """How the home network is let in."""

    address: str = ""
    certificate: Path | None = None
    key: Path | None = None


def run_server(
    *,
    port: int,
    browser: bool,
    data_dir: Path | None,
    lan: Lan | None = None,
    database: str = "",
) -> None:
    """Serve the farm until interrupted; where its records cannot be used, serve the way back."""
    folder = data_folder(data_dir)
    with hold(folder):
        doors = _Doors(port, lan)
        set_up(folder, database=database)
        from pinfeather.actions.safe import Trouble

        try:
            ready_store()
        except StoreError as error:
            print(str(error), file=sys.stderr, flush=True)
            Trouble.sentence = str(error)
        doors.serve(browser=browser)


def run_demo(*, port: int, browser: bool, lan: Lan | None = None) -> None:
    """Serve a fresh made-up farm until interrupted."""
    with tempfile.TemporaryDirectory(prefix="pinfeather-demo-") as folder:
        os.environ[MARK] = "1"
        os.environ.pop("PINFEATHER_DATABASE", None)  # pretend birds never go into a farm's database
        _end_with_the_farm(Path(folder))
        doors = _Doors(port, lan)
        open_store(Path(folder))
        from pinfeather.actions.demo.farm import make

        make(now=clock.now())
        doors.serve(browser=browser)


def _end_with_the_farm(folder: Path) -> None:
    """Stop when the farm that started these pretend birds has gone, or closes the pipe."""
    if not os.environ.get(BACK):
        return

    def wait() -> None:
        sys.stdin.read()
        shutil.rmtree(folder, ignore_errors=True)
        os._exit(0)  # an interrupt would be lost where the farm was started in the background

    threading.Thread(target=wait, name="the real farm", daemon=True).start()


def marked(app: App, door: str, *, peers: Mapping[str, str] | None = None) -> App:
    """Mark each request with the door it came through; no header of a request can say so."""

    def through(environ: dict[str, Any], start_response: Start) -> Iterable[bytes]:
        environ["pinfeather.door"] = door
        if peers is not None:
            environ["REMOTE_ADDR"] = peers.get(str(environ.get("REMOTE_PORT", "")), "")
        return app(environ, start_response)

    return through


class _Doors:
    """The sockets, taken before anything else is done, and what serves on them."""

    def __init__(self, port: int, lan: Lan | None) -> None:
        self._here = _listen("127.0.0.1", port)
        self._port = self._here.getsockname()[1]
        self._outside: socket.socket | None = None
        self._tls: SSLContext | None = None
        if lan is None:
            return
        try:
            self._take_the_lan(lan)
        except BaseException:
            self._here.close()
            raise

    def _take_the_lan(self, lan: Lan) -> None:
        from pinfeather.cli.lan import own_address

        if (lan.certificate is None) != (lan.key is None):
            raise InputError("tls-cert", "", _("TLS needs both, --tls-cert and --tls-key."))
        if lan.certificate is not None and lan.key is not None:
            from pinfeather.cli.tls import context

            self._tls = context(lan.certificate, lan.key)
        address = own_address(lan.address)
        self._outside = _listen(address, self._port)
        scheme = "https" if self._tls else "http"
        os.environ["PINFEATHER_LAN_ADDRESSES"] = address
        os.environ["PINFEATHER_LAN_URL"] = f"{scheme}://{address}:{self._port}/"

    def serve(self, *, browser: bool) -> None:
        from django.core.wsgi import get_wsgi_application
        from django.urls import get_resolver

        get_resolver().url_patterns  # noqa: B018 - loads the pages before anybody is told to come
        app = gated(cast("App", get_wsgi_application()))
        server = _server(marked(app, "here"), self._here)
        address = f"http://127.0.0.1:{self._port}/"
        if self._outside is not None:
            self._open_to_the_lan(app, self._outside)
        print(
            _("Pinfeather is at {address}  (stop with Ctrl-C)").format(address=address), flush=True
        )
        if browser:
            threading.Timer(0.3, webbrowser.open, [address]).start()
        try:
            server.run()
        except KeyboardInterrupt:
            server.close()

    def _open_to_the_lan(self, app: App, outside: socket.socket) -> None:
        if self._tls is None:
            server = _server(marked(app, "home network"), outside)
        else:
            from pinfeather.cli.tls import Relay

            inside = _listen("127.0.0.1", 0)
            relay = Relay(outside, inside=inside.getsockname(), tls=self._tls)
            server = _server(
                marked(app, "home network", peers=relay.peers), inside, url_scheme="https"
            )
            outside.listen(64)
            relay.start()
        threading.Thread(target=server.run, name="home network", daemon=True).start()
        _say_how(os.environ["PINFEATHER_LAN_URL"])


def _server(app: App, sock: socket.socket, *, url_scheme: str = "http") -> Server:
    from waitress import create_server

    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # waiting a moment is no trouble
    made: Server = create_server(
        app,
        sockets=[sock],
        map={},
        threads=_THREADS,
        ident=None,
        url_scheme=url_scheme,
        max_request_body_size=_BIGGEST_BODY,
        max_request_header_size=_BIGGEST_HEADERS,
        channel_timeout=_SILENT_S,
    )
    return made


def _listen(address: str, port: int) -> socket.socket:
    """Take an address and port of this computer.

    Raises
    ------
    InputError
        If it is taken.
    """
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((address, port))
        made.listen(64)
    except (OSError, OverflowError) as error:
        made.close()
        raise InputError(
            "port",
            port,
            _("Port {port} cannot be used ({why}). Give another one with --port.").format(
                port=port, why=getattr(error, "strerror", None) or error
            ),
        ) from error
    return made


def _say_how(url: str) -> None:
    """Print how to let a phone in, and each phone that asks."""
    import segno

    print(_drawn(segno.make(url, micro=False)))
    print(_("Phones of this house: scan this, or open {url}").format(url=url))
    print(_("Let each one in on this computer, under Farm, then Phones: compare the words."))
    if url.startswith("http:"):
        print(_("This is plain HTTP: whoever is on the same network can listen in."), flush=True)
    log = logging.getLogger("pinfeather.phones")
    log.setLevel(logging.INFO)
    handler = logging.StreamHandler(sys.stdout)
    handler.setFormatter(logging.Formatter("%(message)s"))
    log.addHandler(handler)


def _drawn(code: QRCode) -> str:
    """Return a QR code as half blocks, dark on light, for a terminal."""
    import io

    out = io.StringIO()
    code.terminal(out=out, border=2, compact=True)
    return out.getvalue()
