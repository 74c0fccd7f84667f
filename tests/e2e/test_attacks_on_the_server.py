"""The attack list, second part: what has to be tried on the real server's sockets."""

from __future__ import annotations

import contextlib
import socket
import ssl
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

pytestmark = pytest.mark.e2e
HERE, LAN = "127.0.0.1", "127.0.0.2"
"""This computer, and an address of it that stands for the home network in these tests."""


@pytest.fixture(scope="module")
def server(lan_program):
    one = lan_program()
    yield one
    one.stop()


def ask(where: tuple[str, int], raw: bytes, *, wait_s: float = 10.0) -> bytes:
    """Send bytes, and read until the server ends or says nothing more."""
    with socket.create_connection(where, timeout=wait_s) as one:
        with contextlib.suppress(OSError):
            one.sendall(raw)
        parts = []
        with contextlib.suppress(OSError):
            while part := one.recv(65536):
                parts.append(part)
    return b"".join(parts)


def request(
    host: str, *lines: str, method: str = "GET", path: str = "/", body: bytes = b""
) -> bytes:
    head = [f"{method} {path} HTTP/1.1", f"Host: {host}", "Connection: close", *lines]
    return "\r\n".join([*head, "", ""]).encode("latin-1") + body


def status(answer: bytes) -> int:
    return int(answer.split()[1]) if answer.startswith(b"HTTP/") else 0


def test_the_home_network_gets_one_page_and_this_computer_all(server) -> None:
    stranger = ask((LAN, server.port), request(f"{LAN}:{server.port}"))
    assert status(stranger) == 302
    assert b"Location: /phones/ask/" in stranger
    assert status(ask((HERE, server.port), request(f"{HERE}:{server.port}"))) == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "localhost", "127.0.0.2.evil.example"]
)
def test_a_bent_name_is_refused(server, host) -> None:
    assert status(ask((LAN, server.port), request(f"{host}:{server.port}"))) == 400


@pytest.mark.parametrize("line", ["pinfeather.door: here", "X-Forwarded-For: 127.0.0.1",
                                  "Pinfeather_Door: here", "REMOTE_ADDR: 127.0.0.1",
                                  "Remote-Addr: 127.0.0.1"])  # fmt: skip
def test_no_header_opens_the_other_door(server, line) -> None:
    assert status(ask((LAN, server.port), request(f"{LAN}:{server.port}", line))) == 302


def test_a_body_larger_than_any_file_we_take_is_refused_before_it_is_read(server) -> None:
    host = f"{LAN}:{server.port}"
    answer = ask(
        (LAN, server.port),
        request(host, "Content-Length: 30000000", method="POST", path="/phones/ask/"),
    )
    assert status(answer) == 413


def test_a_body_in_chunks_without_end_is_refused(server) -> None:
    host = f"{LAN}:{server.port}"
    raw = request(host, "Transfer-Encoding: chunked", method="POST", path="/phones/ask/")
    chunk = b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
    assert status(ask((LAN, server.port), raw + chunk * 26, wait_s=20)) in {0, 413}


def test_headers_of_a_hundred_kilobytes_are_refused(server) -> None:
    host = f"{LAN}:{server.port}"
    answer = ask((LAN, server.port), request(host, f"X-Long: {'x' * 100_000}"))
    assert status(answer) == 431


@pytest.mark.parametrize(
    "lines",
    [
        ("Content-Length: 5", "Transfer-Encoding: chunked"),
        ("Content-Length: 5", "Content-Length: 6"),
        ("Content-Length: -5",),
        ("Content-Length: 0x10",),
        ("Transfer-Encoding: xchunked",),
        ("Content Length: 5",),
    ],
)
def test_a_request_of_two_lengths_smuggles_no_second_one(server, lines) -> None:
    host = f"{LAN}:{server.port}"
    second = request(f"{HERE}:{server.port}", path="/farm/phones/")
    body = b"0\r\n\r\n" + second
    answer = ask((LAN, server.port), request(host, *lines, method="POST", body=body))
    assert b"Which phones are let in" not in answer
    assert answer.count(b"HTTP/1.") <= 2
    assert b"200 OK" not in answer


@pytest.mark.parametrize(
    "raw", [b"\x16\x03\x01\x02\x00\x01\x00", b"GET\r\n\r\n", b"\x00" * 2000,
            b"GET / HTTP/9.9\r\n\r\n",
            b"GET http://evil.example/ HTTP/1.1\r\nHost: 127.0.0.2\r\n\r\n",
            b"CONNECT evil.example:443 HTTP/1.1\r\nHost: 127.0.0.2\r\n\r\n"],
)  # fmt: skip
def test_what_is_no_request_is_no_harm(server, raw) -> None:
    answer = ask((LAN, server.port), raw + b"\r\n\r\n", wait_s=2)
    assert b"Traceback" not in answer
    assert status(ask((HERE, server.port), request(f"{HERE}:{server.port}"))) == 200


@pytest.mark.parametrize("path", ["/../../etc/passwd", "/static/../../../etc/passwd",
                                  "//etc/passwd", "/static/%2e%2e/%2e%2e/secret-key",
                                  "/static/..\\..\\secret-key",
                                  "/static/pinfeather/", "/%00", "/static/%00"])  # fmt: skip
def test_no_path_leads_out_of_the_program(server, path) -> None:
    for where in (HERE, LAN):
        answer = ask((where, server.port), request(f"{where}:{server.port}", path=path))
        assert status(answer) in {302, 400, 404}, (where, path)
        assert b"root:" not in answer
        assert server.secret not in answer


def test_slow_strangers_do_not_keep_the_farm_computer_waiting(server) -> None:
    """A hundred connections that never finish their request, on the home network's door."""
    slow = []
    for _n in range(120):
        one = socket.create_connection((LAN, server.port), timeout=5)
        one.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ")
        slow.append(one)
    answer = ask((HERE, server.port), request(f"{HERE}:{server.port}"), wait_s=10)
    for one in slow:
        one.close()
    assert status(answer) == 200


def test_the_server_does_not_say_what_it_runs_on(server) -> None:
    answer = ask((LAN, server.port), request(f"{LAN}:{server.port}")).lower()
    head = answer.partition(b"\r\n\r\n")[0]
    assert b"server:" not in head
    assert b"waitress" not in head
    assert b"python" not in head


def test_it_listens_on_the_one_address_and_not_on_all(server) -> None:
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.3", server.port), timeout=2).close()


# ---------------------------------------------------------------------------------------------- TLS

TLS = Path(__file__).parent / "tls"


@pytest.fixture(scope="module")
def tls_server(lan_program):
    files = ["--tls-cert", str(TLS / "test-only.pem"), "--tls-key", str(TLS / "test-only.key")]
    one = lan_program(more=files)
    yield one
    one.stop()


@pytest.fixture
def trusting() -> ssl.SSLContext:
    return ssl.create_default_context(cafile=str(TLS / "test-only.pem"))


class Stays(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_args):
        return None


def test_over_tls_a_phone_asks_and_its_cookies_are_for_tls_alone(tls_server, trusting) -> None:
    opener = urllib.request.build_opener(urllib.request.HTTPSHandler(context=trusting))
    page = opener.open(f"https://{LAN}:{tls_server.port}/", timeout=20)  # through the redirect
    cookies = page.headers.get_all("Set-Cookie")
    text = page.read().decode()
    token = text.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    assert "Ask to be let in" in text
    assert cookies
    assert all("Secure" in cookie for cookie in cookies)

    sent = urllib.request.Request(
        f"https://{LAN}:{tls_server.port}/phones/ask/",
        data=f"csrfmiddlewaretoken={token}".encode(),
        headers={"Cookie": cookies[0].split(";")[0],
                 "Referer": f"https://{LAN}:{tls_server.port}/phones/ask/"},
    )  # fmt: skip
    plain = urllib.request.build_opener(urllib.request.HTTPSHandler(context=trusting), Stays)
    with pytest.raises(urllib.error.HTTPError) as redirected:
        plain.open(sent, timeout=20)
    assert redirected.value.code == 302
    given = redirected.value.headers["Set-Cookie"]
    assert given.startswith("device=")
    assert "Secure" in given
    assert "HttpOnly" in given
    redirected.value.close()

    waiting = (
        urllib.request.urlopen(f"http://{HERE}:{tls_server.port}/farm/phones/").read().decode()
    )
    assert "From 127.0.0.1." in waiting  # the phone's own address, not the relay's


def test_plain_http_is_not_answered_on_the_tls_port(tls_server) -> None:
    answer = ask((LAN, tls_server.port), request(f"{LAN}:{tls_server.port}"), wait_s=5)
    assert b"HTTP/1.1 200" not in answer
    assert b"302" not in answer


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1])
def test_old_tls_is_refused(tls_server, version) -> None:
    import warnings

    old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    old.check_hostname = False
    old.verify_mode = ssl.CERT_NONE
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        old.minimum_version = old.maximum_version = version
    one = socket.create_connection((LAN, tls_server.port), timeout=5)
    with one, pytest.raises((ssl.SSLError, ConnectionError)):
        old.wrap_socket(one).close()


def test_a_large_page_and_a_large_body_pass_through_whole(tls_server, trusting) -> None:
    opener = urllib.request.build_opener(urllib.request.HTTPSHandler(context=trusting), Stays)
    name = "/static/django_htmx/htmx-2.min.js"
    through = opener.open(f"https://{LAN}:{tls_server.port}{name}", timeout=20).read()
    direct = urllib.request.urlopen(f"http://{HERE}:{tls_server.port}{name}").read()
    assert through == direct
    big = urllib.request.Request(
        f"https://{LAN}:{tls_server.port}/api/devices/readings", data=b"x" * 1_500_000,
        headers={"Authorization": "Bearer x", "Content-Type": "application/json"},
    )  # fmt: skip
    with pytest.raises(urllib.error.HTTPError) as refused:
        opener.open(big, timeout=20)
    assert refused.value.code == 401
    refused.value.close()


def test_silent_strangers_do_not_hold_up_the_tls_door(tls_server, trusting) -> None:
    silent = [socket.create_connection((LAN, tls_server.port), timeout=5) for _n in range(60)]
    begin = time.monotonic()
    opener = urllib.request.build_opener(urllib.request.HTTPSHandler(context=trusting))
    assert opener.open(f"https://{LAN}:{tls_server.port}/", timeout=20).status == 200
    assert time.monotonic() - begin < 15
    for one in silent:
        one.close()
