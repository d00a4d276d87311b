"""How much of a heap got hot, on a phone: seen and inferred apart, cautions in sight."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from heapwright.sentences import Reader, render
from heapwright.web import routes_bin
from heapwright.workshop.heat_proof import heat_proof
from heapwright.workshop.setup import save_bin
from tests.browser import heat_samples
from tests.browser.conftest import LiveServer, axe_findings, open_all

SCHEMES = ("light", "dark")


@pytest.fixture
def paper_heat(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(routes_bin, "proof_of", lambda garden, key: heat_samples.heat_proof())


def _section(phone: Page, server: LiveServer, key: str = "left") -> Locator:
    phone.goto(f"{server.address}/bins/{key}", wait_until="networkidle")
    return phone.get_by_role("region", name="How much of the heap got hot")


def test_seen_and_inferred_stand_apart_with_their_cautions(
    phone: Page, live_server: LiveServer
) -> None:
    section = _section(phone, live_server)
    proof = heat_proof(live_server.garden, "left")
    seen, inferred = section.locator(".heat-proof").all()
    expect(seen.get_by_role("heading", name="What the thermometer saw")).to_be_visible()
    expect(inferred.get_by_role("heading", name="What the model infers")).to_be_visible()
    for note in proof.seen.notes:
        expect(seen.get_by_text(render(note, Reader()))).to_be_visible()
    for caution in proof.cautions:
        expect(section.locator(".cautions").get_by_text(caution.template)).to_be_visible()
    assert seen.locator(".share-bar").count() == 0
    assert inferred.locator(".day").count() == 0


def test_the_strip_tells_every_day_without_its_looks(
    phone: Page, live_server: LiveServer, paper_heat: None
) -> None:
    days = _section(phone, live_server).locator(".days .day")
    said = [" ".join(text.split()) for text in days.all_text_contents()]
    assert said[0] == "Mon 1 June: –not read"
    assert said[1] == "Tue 2 June: 151°F, each reading hot"
    assert said[3] == "Thu 4 June: 136°F, not each reading hotT, turned"
    assert said[4] == "Fri 5 June: 111°F, not hot"
    assert said[5] == "Sat 6 June: –not read"
    assert len(said) == 10  # three days after the last hot one
    expect(phone.get_by_text("21 later days")).to_be_visible()


def test_days_differ_by_their_frames_and_not_by_colour_alone(
    phone: Page, live_server: LiveServer, paper_heat: None
) -> None:
    section = _section(phone, live_server)
    frames = {
        kind: section.locator(f".days .day-{kind}").first.evaluate(
            "it => { const look = getComputedStyle(it);"
            " return look.borderTopWidth + look.borderTopStyle; }"
        )
        for kind in ("hot", "mixed", "cool", "unread")
    }
    assert len(set(frames.values())) == 4


def test_what_is_missing_is_said_for_the_rule_that_fits(
    phone: Page, live_server: LiveServer, paper_heat: None
) -> None:
    first = _section(phone, live_server).locator(".rules > div").first
    expect(first).to_contain_text("Turned heap, days counted in all")
    expect(first).to_contain_text("more with a reading of 131 °F or more each day")
    expect(first).to_contain_text("more turns between hot readings")


def test_the_bar_is_as_long_as_its_numbers(
    phone: Page, live_server: LiveServer, paper_heat: None
) -> None:
    inferred = _section(phone, live_server).locator(".heat-proof").nth(1)
    bar = inferred.locator(".share-bar").first
    assert bar.locator(".share-range").get_attribute("d") == "M84.0 15H225.0"
    assert bar.locator(".share-likely").get_attribute("cx") == "135.0"
    expect(inferred).to_contain_text("28 % to 75 % of the heap, likely 45 %.")
    expect(inferred).to_contain_text("Nine tenths of it and more: in 4 % of the runs.")


def test_every_rule_and_trial_is_in_the_details(phone: Page, live_server: LiveServer) -> None:
    section = _section(phone, live_server, "middle")
    open_all(phone)
    proof = heat_proof(live_server.garden, "middle")
    rules = section.get_by_role("region", name="Every rule, in numbers")
    assert rules.locator("tbody tr").count() == len(proof.rules)
    trials = section.locator("details").nth(2)
    for one in proof.findings:
        expect(trials.get_by_text(one.finding.organism, exact=False).first).to_be_visible()
    for kept_out in proof.keep_out:
        expect(trials.get_by_text(kept_out.organism).first).to_be_visible()
    expect(trials).to_contain_text("not what died")


def test_without_a_model_only_what_was_seen_is_told(
    phone: Page, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    bare = heat_samples.heat_proof(modelled=False)
    monkeypatch.setattr(routes_bin, "proof_of", lambda garden, key: bare)
    section = _section(phone, live_server)
    assert section.locator(".share-bar").count() == 0
    expect(section.get_by_text("Invented for a test.")).to_be_visible()
    expect(section.get_by_text("Still to be seen:").first).to_be_visible()


def test_an_empty_bin_has_no_such_section(phone: Page, empty_server: LiveServer) -> None:
    save_bin(
        empty_server.garden, name="Left", width_m=0.9, depth_m=0.9, height_m=0.9, origin="page"
    )
    section = _section(phone, empty_server)
    expect(phone.get_by_role("heading", name="Left")).to_be_visible()
    expect(section).to_have_count(0)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("zoom", [1, 2])
def test_axe_finds_nothing_and_nothing_sticks_out(
    phone: Page, live_server: LiveServer, paper_heat: None, scheme: str, zoom: int
) -> None:
    phone.set_viewport_size({"width": 390 // zoom, "height": 844 // zoom})
    phone.emulate_media(color_scheme=scheme)
    _section(phone, live_server)
    open_all(phone)
    assert axe_findings(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390 // zoom
