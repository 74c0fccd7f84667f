"""One process, a few threads, this computer only."""

from __future__ import annotations

import tempfile
import threading
import webbrowser
from pathlib import Path

from pinfeather import clock
from pinfeather.actions.store import open_store
from pinfeather.cli.folder import data_folder
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_THREADS = 8


def run_server(*, port: int, browser: bool, data_dir: Path | None) -> None:
    """Serve the farm until interrupted."""
    open_store(data_folder(data_dir))
    _serve(port=port, browser=browser)


def run_demo(*, port: int, browser: bool) -> None:
    """Serve a fresh made-up farm until interrupted."""
    with tempfile.TemporaryDirectory(prefix="pinfeather-demo-") as folder:
        open_store(Path(folder))
        from pinfeather.actions.demo import make

        make(now=clock.now())
        _serve(port=port, browser=browser)


def _serve(*, port: int, browser: bool) -> None:
    from django.core.wsgi import get_wsgi_application
    from waitress import create_server

    try:
        server = create_server(
            get_wsgi_application(), host="127.0.0.1", port=port, threads=_THREADS, ident=None
        )
    except OSError as error:
        raise InputError(
            "port",
            port,
            _("Port {port} cannot be used ({why}). Give another one with --port.").format(
                port=port, why=error.strerror
            ),
        ) from error
    address = f"http://127.0.0.1:{server.effective_port}/"
    print(_("Pinfeather is at {address}  (stop with Ctrl-C)").format(address=address), flush=True)
    if browser:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    try:
        server.run()
    except KeyboardInterrupt:
        server.close()
