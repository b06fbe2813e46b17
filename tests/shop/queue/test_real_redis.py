"""The queue on a real Redis with workers in processes of their own: same results, and what happens when
either goes away.
"""

from __future__ import annotations

import datetime
import ipaddress
import json
from collections.abc import Callable, Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import redis
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from django.core.management import CommandError, call_command

from catalog.services.starter import load_starter
from quoting.engine.estimate.repricing import PRICES, Prices, price_text
from quoting.errors import QueueUnavailable
from quoting.selectors.price_book import price_book, shop_terms
from quoting.services.pieces import save_piece
from shop import celery
from shop.scenario import specification
from tests.shop.queue.conftest import Serve, Work

MONDAY = datetime.date(2026, 3, 2)
NAMES = ("reading-room-table", "cafe-counter", "hearth", "bench")
Attach = Callable[[str], Any]
pytestmark = pytest.mark.django_db


@pytest.fixture
def prices() -> str:
    load_starter("metric", on=MONDAY)
    return PRICES.dump_json(Prices(price_book(MONDAY), shop_terms())).decode()


@pytest.fixture
def documents() -> list[str]:
    """Three of each piece, a little longer each time."""
    return [
        json.dumps(specification(name) | {"quantity": quantity}) for quantity in (1, 2, 3) for name in NAMES
    ]


@pytest.fixture
def attach(monkeypatch: pytest.MonkeyPatch) -> Iterator[Attach]:
    """Have this process ask the queue at an address."""
    made: list[Any] = []

    def to(address: str) -> Any:
        made.append(celery.make_app(address))
        monkeypatch.setattr(celery, "app", made[-1])
        return made[-1]

    yield to
    for app in made:
        app.backend.result_consumer.stop()
        app.backend.client.close()
        app.close()


def alone(documents: list[str], prices: str) -> list[str]:
    return [price_text(document, prices) for document in documents]


def told(*options: str) -> str:
    out = StringIO()
    call_command("reprice", "--on", "2026-03-02", *options, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_workers_of_another_process_give_the_same_bytes(
    serve: Serve, work: Work, attach: Attach, prices: str, settings: Any
) -> None:
    for name in NAMES:
        save_piece(specification(name))
    server = serve()
    attach(server.address)
    work(server.address)
    settings.REPRICE_EXECUTOR = "shop.celery.run"
    here, there = told("--workers", "1", "--json", "-"), told("--queue", "--json", "-")
    assert len(json.loads(here)) == len(NAMES)
    assert '"unit_price": "' in here
    assert there == here
    with redis.Redis.from_url(server.address) as left:
        assert left.llen("reprice") == 0
        assert not left.keys("celery-task-meta-*")


def test_a_worker_killed_midway_is_replaced_and_nothing_is_lost(
    serve: Serve,
    work: Work,
    attach: Attach,
    prices: str,
    documents: list[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(celery, "AHEAD", 4)
    monkeypatch.setattr(celery, "SILENCE_S", 1)
    server = serve()
    attach(server.address)
    first = work(server.address)
    outcomes = celery.run(prices, documents)
    made = [next(outcomes)]
    first.kill()
    with redis.Redis.from_url(server.address) as queue:
        queue.delete("reprice")  # whatever it had not begun goes down with it too
    work(server.address)
    made += outcomes
    assert made == alone(documents, prices)


def test_without_any_worker_left_that_is_told(
    serve: Serve, attach: Attach, prices: str, documents: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(celery, "SILENCE_S", 0.05)
    attach(serve().address)
    with pytest.raises(QueueUnavailable, match="no worker of the queue answered"):
        next(celery.run(prices, documents))


def test_a_redis_lost_midway_is_told_and_nothing_is_half_done(
    serve: Serve,
    work: Work,
    attach: Attach,
    prices: str,
    tmp_path: Path,
    settings: Any,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in NAMES:
        save_piece(specification(name))
    monkeypatch.setattr(celery, "AHEAD", 1)
    server, whole = serve(), celery.run
    attach(server.address)
    work(server.address)

    def cut_after_one(asked: str, documents: list[str]) -> Iterator[str]:
        outcomes = whole(asked, documents)
        yield next(outcomes)
        server.kill()
        yield from outcomes

    monkeypatch.setattr(celery, "run", cut_after_one)
    settings.REPRICE_EXECUTOR = "shop.celery.run"
    file, out = tmp_path / "prices.json", StringIO()
    with pytest.raises(CommandError, match="cannot be reached; --workers prices them on this machine"):
        call_command("reprice", "--on", "2026-03-02", "--json", str(file), stdout=out, stderr=StringIO())
    assert out.getvalue() == ""
    assert not file.exists()


def test_over_tls_with_the_certificate_checked(
    serve: Serve, work: Work, attach: Attach, prices: str, documents: list[str], tmp_path: Path
) -> None:
    server = serve(*certificate(tmp_path))
    work(server.address)
    attach(server.address)
    assert list(celery.run(prices, documents[:2])) == alone(documents[:2], prices)
    attach(server.address.partition("?")[0])  # without the certificate this machine knows no such server
    with pytest.raises(QueueUnavailable, match="cannot be reached"):
        next(celery.run(prices, documents))


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate of this machine's own address, signed by itself, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "127.0.0.1")])
    now = datetime.datetime.now(datetime.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(hours=1))
        .not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))]), critical=False
        )
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )
    certificate_file, key_file = folder / "server.pem", folder / "server.key"
    certificate_file.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    plain = serialization.NoEncryption()
    pem, form = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8
    key_file.write_bytes(key.private_bytes(pem, form, plain))
    return certificate_file, key_file
