"""What a phone needs to install the program and to open it without network."""

from __future__ import annotations

import io
import json

import pytest
from PIL import Image
from starlette.testclient import TestClient

from heapwright.web import phone_icon, static_files
from heapwright.web.app import create_app
from heapwright.web.phone_cache import COOKIE, KEPT
from heapwright.workshop.garden import Garden

PNG_SIGNATURE = bytes.fromhex("89504e470d0a1a0a")  # PNG specification (third edition), 5.2


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a phone on a garden over plain http by a name of the home network."""
    return TestClient(create_app(garden, hosts={"bin.test"}), base_url="http://bin.test")


def test_manifest_has_what_installing_asks_for(client: TestClient) -> None:
    # W3C Web Application Manifest; that 192 and 512 are asked for is from memory.
    answer = client.get("/manifest.webmanifest")
    assert answer.headers["content-type"].startswith("application/manifest+json")
    told = answer.json()
    assert {"name", "short_name", "start_url", "scope", "icons"} <= set(told)
    assert told["display"] == "standalone"
    assert {icon["sizes"] for icon in told["icons"]} == {"192x192", "512x512"}
    for icon in told["icons"]:
        assert client.get(icon["src"]).headers["content-type"] == "image/png"


@pytest.mark.parametrize("size", phone_icon.SIZES)
def test_icon_is_a_sound_picture_of_its_size(size: int) -> None:
    data = phone_icon.icon(size)
    assert data.startswith(PNG_SIGNATURE)
    Image.open(io.BytesIO(data)).verify()  # every check sum
    image = Image.open(io.BytesIO(data))
    assert (image.size, image.mode) == ((size, size), "RGB")
    # The corner is ground; the foot of the sign's middle is its hottest colour.
    assert image.getpixel((0, 0)) == (0x15, 0x11, 0x10)
    foot = int(size * (0.5 + (33 - 20.5) / 40 * 0.8 / (2 * 23 / 40)))
    assert image.getpixel((size // 2, foot)) == tuple(bytes.fromhex("ffcf81"))


def test_an_icon_of_another_size_is_not_there(client: TestClient) -> None:
    assert client.get("/icon/7.png").status_code == 404


def test_worker_knows_this_version_and_files_that_are_there(client: TestClient) -> None:
    text = client.get("/worker.js").text
    house = json.loads(text.split("const HOUSE = ", 1)[1].split(";\n", 1)[0])
    assert house["version"] == static_files.version()
    assert f"/static/{static_files.version()}/queue.js" in house["files"]
    for address in [*house["files"], house["away"]]:
        assert client.get(address).status_code == 200


def test_house_worker_and_page_keep_the_same_pages(client: TestClient) -> None:
    kept = f"^{KEPT.pattern}$"
    assert f'"kept": {json.dumps(kept)}' in client.get("/worker.js").text
    script = (static_files.FOLDER / "phone_keep.js").read_text(encoding="utf-8")
    # A script sets a slash off by a backslash, but not one within brackets.
    in_script = kept.replace("/", r"\/").replace(r"[^\/]", "[^/]")
    assert f"const KEPT = /{in_script}/;" in script


def test_the_page_in_place_of_another_tells_nothing_of_the_garden(client: TestClient) -> None:
    assert "Test garden" not in client.get("/phone/away").text
    assert "Test garden" in client.get("/phone").text


@pytest.mark.parametrize("path", ["/", "/log", "/phone", "/bins/left"])
def test_pages_are_kept_by_the_browser_only_where_a_script_asks_anew(
    client: TestClient, path: str
) -> None:
    assert client.get(path).headers["cache-control"] == "private, no-cache"
    kept = client.get(path, headers={"Cookie": f"{COOKIE}=1"}).headers
    assert kept["cache-control"] == "private, max-age=43200"
    assert "Cookie" in kept["vary"]


@pytest.mark.parametrize("path", ["/stock", "/setup", "/log/saved", "/bins/left/ready", "/nothing"])
def test_other_pages_are_never_kept(client: TestClient, path: str) -> None:
    answer = client.get(path, headers={"Cookie": f"{COOKIE}=1"})
    assert "max-age" not in answer.headers["cache-control"]


def test_what_is_for_programs_and_what_is_sent_is_never_kept(client: TestClient) -> None:
    cookie = {"Cookie": f"{COOKIE}=1"}
    assert client.get("/api/today", headers=cookie).headers["cache-control"] == "no-store"
    sent = client.post("/log", data={"bin": "left", "temperature": "hot"}, headers=cookie)
    assert "max-age" not in sent.headers["cache-control"]


def test_over_https_the_worker_keeps_pages_and_not_the_browser(garden: Garden) -> None:
    app = create_app(garden, hosts={"bin.test"})
    client = TestClient(app, base_url="https://bin.test")
    answer = client.get("/", headers={"Cookie": f"{COOKIE}=1"})
    assert answer.headers["cache-control"] == "private, no-cache"


@pytest.mark.parametrize(
    "address, tier",
    [("http://bin.test", "a"), ("https://bin.test", "c"), ("http://127.0.0.1", "here")],
)
def test_the_page_tells_which_tier_this_phone_has(garden: Garden, address: str, tier: str) -> None:
    app = create_app(garden, hosts={"bin.test", "127.0.0.1"})
    text = TestClient(app, base_url=address).get("/phone").text
    current = text.split('aria-current="true"')
    if tier == "here":
        assert len(current) == 1
        assert "house&#39;s own machine" in text or "house's own machine" in text
    else:
        assert current[1].split("<h3>")[1].startswith(tier.upper())
