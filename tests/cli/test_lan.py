"""``--lan``: which address is taken, and what is refused before anything is opened."""

from __future__ import annotations

import socket

import pytest

from pinfeather.cli import lan
from pinfeather.cli.app import app
from pinfeather.cli.server import Lan, _Doors, marked
from pinfeather.errors import InputError


@pytest.mark.parametrize("address", ["192.168.1.20", "10.0.0.7", "172.16.3.4", "192.0.2.20"])
def test_an_address_of_a_home_network_is_taken(address) -> None:
    assert lan.own_address(address) == address


@pytest.mark.parametrize(
    ("address", "why"),
    [
        ("8.8.8.8", "never opened to the world"),
        ("0.0.0.0", "never opened to the world"),
        ("127.0.0.1", "never opened to the world"),
        ("169.254.1.1", "never opened to the world"),
        ("farm", "not an address"),
        ("::1", "not an address"),
        ("192.168.1", "not an address"),
    ],
)
def test_no_other_address_is(address, why) -> None:
    with pytest.raises(InputError, match=why):
        lan.own_address(address)


def test_the_first_address_that_fits_is_taken(monkeypatch) -> None:
    monkeypatch.setattr(lan, "_by_route", lambda: ["203.0.113.9", "127.0.1.1"][1:])
    monkeypatch.setattr(lan, "_by_name", lambda: ["169.254.7.7"])
    monkeypatch.setattr(lan, "_by_interface", lambda: ["127.0.0.1", "192.168.7.2"])

    assert lan.own_address() == "192.168.7.2"


def test_without_a_network_it_says_what_to_do(monkeypatch) -> None:
    for name in ("_by_route", "_by_name", "_by_interface"):
        monkeypatch.setattr(lan, name, list)

    with pytest.raises(InputError, match="give its --address"):
        lan.own_address()


def test_looking_for_the_address_sends_nothing_and_finds_what_can_be_bound() -> None:
    for address in {*lan._by_route(), *lan._by_name(), *lan._by_interface()}:
        with socket.socket() as one:
            one.bind((address, 0))


@pytest.mark.parametrize("words", [["--address", "192.168.1.20"], ["--tls-cert", "a.pem"]])
def test_an_address_or_a_certificate_needs_the_home_network(words) -> None:
    with pytest.raises(InputError, match="needs --lan"):
        app(["serve", *words], exit_on_error=False)


def test_a_certificate_needs_its_key_and_both_must_fit(tmp_path, monkeypatch) -> None:
    cert = tmp_path / "farm.pem"
    cert.write_text("no certificate")

    with pytest.raises(InputError, match="both"):
        _Doors(0, Lan("192.168.1.20", cert, None))
    with pytest.raises(InputError, match="cannot be used"):
        _Doors(0, Lan("192.168.1.20", cert, cert))
    with pytest.raises(InputError, match="cannot be used"):
        _Doors(0, Lan("192.168.1.20", tmp_path / "nowhere", cert))


def test_an_address_of_another_computer_cannot_be_used() -> None:
    with pytest.raises(InputError, match="cannot be used"):
        _Doors(0, Lan("192.168.213.77"))


def test_a_request_is_marked_with_its_door_whatever_it_says() -> None:
    seen = {}

    def program(environ, start_response):
        seen.update(environ)
        return []

    marked(program, "home network")({"pinfeather.door": "here", "REMOTE_ADDR": "192.0.2.9"}, None)

    assert seen["pinfeather.door"] == "home network"
    assert seen["REMOTE_ADDR"] == "192.0.2.9"


def test_behind_the_relay_a_connection_of_nobody_has_no_address() -> None:
    seen = {}

    def program(environ, start_response):
        seen.update(environ)
        return []

    through = marked(program, "home network", peers={"5000": "192.0.2.9"})
    through({"REMOTE_PORT": "5000", "REMOTE_ADDR": "127.0.0.1"}, None)
    assert seen["REMOTE_ADDR"] == "192.0.2.9"
    through({"REMOTE_PORT": "5001", "REMOTE_ADDR": "127.0.0.1"}, None)
    assert seen["REMOTE_ADDR"] == ""
