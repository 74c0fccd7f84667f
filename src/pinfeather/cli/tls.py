"""TLS in front of the server, with the standard library: decrypts, and hands the bytes on."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import ssl
import threading
from pathlib import Path

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_CHUNK = 64 * 1024
_HANDSHAKE_S = 10.0
_MOST_AT_ONCE = 100


def context(certificate: Path, key: Path) -> ssl.SSLContext:
    """Return what serves with a certificate and its key.

    Raises
    ------
    InputError
        If they cannot be read or do not belong together.
    """
    made = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    made.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        made.load_cert_chain(certificate, key)
    except (OSError, ssl.SSLError) as error:
        raise InputError(
            "tls-cert",
            str(certificate),
            _("The certificate and its key cannot be used: {why}.").format(
                why=getattr(error, "strerror", None) or error
            ),
        ) from error
    return made


class Relay:
    """Listens with TLS on one socket and hands each connection to a server inside.

    The server inside sees connections of this computer only; ``peers`` tells it, by the port a
    connection comes from, whose it is.
    """

    def __init__(
        self, outside: socket.socket, *, inside: tuple[str, int], tls: ssl.SSLContext
    ) -> None:
        self._outside, self._inside, self._tls = outside, inside, tls
        self.peers: dict[str, str] = {}
        self._open = 0

    def start(self) -> None:
        """Run in a thread of its own, until the program ends."""
        threading.Thread(target=lambda: asyncio.run(self._run()), name="tls", daemon=True).start()

    async def _run(self) -> None:
        server = await asyncio.start_server(
            self._serve,
            sock=self._outside,
            ssl=self._tls,
            ssl_handshake_timeout=_HANDSHAKE_S,
        )
        async with server:
            await server.serve_forever()

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if self._open >= _MOST_AT_ONCE:
            writer.close()
            return
        self._open += 1
        port = ""
        try:
            # The inside port is chosen first, so that it is known before the first request.
            inner = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
            inner.bind(("127.0.0.1", 0))
            inner.setblocking(False)
            port = str(inner.getsockname()[1])
            self.peers[port] = str(writer.get_extra_info("peername")[0])
            await asyncio.get_running_loop().sock_connect(inner, self._inside)
            in_reader, in_writer = await asyncio.open_connection(sock=inner)
            await asyncio.gather(_pump(reader, in_writer), _pump(in_reader, writer))
        except OSError:
            pass
        finally:
            self.peers.pop(port, None)
            self._open -= 1
            with contextlib.suppress(OSError, ssl.SSLError):
                writer.close()


async def _pump(source: asyncio.StreamReader, target: asyncio.StreamWriter) -> None:
    """Hand bytes on until one side ends."""
    try:
        while data := await source.read(_CHUNK):
            target.write(data)
            await target.drain()
    except (OSError, ssl.SSLError):
        pass
    finally:
        with contextlib.suppress(OSError, ssl.SSLError, RuntimeError):
            target.close()
