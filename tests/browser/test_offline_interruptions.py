"""Logging with everything going wrong: whatever the phone said it keeps is in the journal, once.

Tabs and browsers are killed, networks break, answers get lost, the house is killed, and the same is
sent twice at once; at random moments, from one seed. A part is run every time, all 500 of issue 5
with `HEAPWRIGHT_INTERRUPTIONS=500` (docs/architecture.md).
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page

from heapwright.workshop import setup
from heapwright.workshop.garden import Garden
from tests.browser.offline_phone import OfflinePhone
from tests.killable import KillableHouse, killable

INTERRUPTIONS = int(os.environ.get("HEAPWRIGHT_INTERRUPTIONS", "30"))
SEED = 844390


class Afternoon:
    """One phone, one house, and what was written on the phone."""

    def __init__(self, phone: OfflinePhone, house: KillableHouse, chance: random.Random) -> None:
        self.phone, self.house, self.chance = phone, house, chance
        self.kept: list[str] = []  # the phone said that it keeps them
        self.perhaps: list[str] = []  # the tab was killed before it could say so
        self.tab: Page | None = None
        self.counts: Counter[str] = Counter()
        self.numbers = 0

    def interruptions(self) -> dict[str, tuple[int, Callable[[], None]]]:
        """Return what can go wrong: how often of hundred, and what it is."""
        return {
            "network gone while writing": (18, self.network_gone),
            "tab killed before sending": (14, self.tab_killed_before),
            "tab killed while sending": (20, self.tab_killed_while),
            "tab killed while keeping": (8, self.tab_killed_keeping),
            "answer lost": (14, self.answer_lost),
            "two at once": (14, self.two_at_once),
            "network gone while sending": (8, self.network_gone_sending),
            "house killed": (2, self.house_killed),
            "browser killed": (2, self.browser_killed),
        }

    # The phone's doings.

    def page(self) -> Page:
        if self.tab is None:
            self.tab = self.phone.open()
        return self.tab

    def keep(self, count: int = 1) -> None:
        """Write entries and hear that they are kept."""
        for _ in range(count):
            entry_id, note = self.next()
            self.page().evaluate(
                "async ([id, note]) => { await (await phone).keep(id, note); }", [entry_id, note]
            )
            self.kept.append(note)

    def next(self) -> tuple[str, str]:
        self.numbers += 1
        return f"{self.numbers:032x}", f"note {self.numbers}"

    def flush(self) -> None:
        self.page().evaluate("async () => { await (await phone).flush(); }")

    def begin(self, script: str, *arguments: str) -> None:
        """Begin something on the page without waiting for it."""
        self.page().evaluate(f"(given) => {{ (async () => {{ {script} }})(); }}", list(arguments))

    def kill_tab(self) -> None:
        page, self.tab = self.page(), None
        page.close(run_before_unload=False)

    def a_moment(self, most_ms: float = 40) -> None:
        """Let a random moment pass; the wires of the test itself go on meanwhile."""
        self.page().wait_for_timeout(self.chance.uniform(0, most_ms))

    # What goes wrong.

    def network_gone(self) -> None:
        self.page()
        self.phone.context.set_offline(True)
        self.keep(self.chance.randint(1, 2))
        self.flush()
        if self.chance.random() < 0.4:
            self.kill_tab()
        self.phone.context.set_offline(False)

    def network_gone_sending(self) -> None:
        self.keep()
        self.begin("await (await phone).flush();")
        self.a_moment()
        self.phone.context.set_offline(True)
        self.a_moment()
        self.phone.context.set_offline(False)

    def tab_killed_before(self) -> None:
        self.keep()
        self.kill_tab()

    def tab_killed_while(self) -> None:
        self.keep(self.chance.randint(1, 2))
        self.begin("await (await phone).flush();")
        self.a_moment()
        self.kill_tab()

    def tab_killed_keeping(self) -> None:
        entry_id, note = self.next()
        self.begin("await (await phone).keep(given[0], given[1]);", entry_id, note)
        self.a_moment(5)
        self.kill_tab()
        self.perhaps.append(note)

    def answer_lost(self) -> None:
        self.keep()
        self.phone.lose_answers(True)
        self.flush()
        self.phone.lose_answers(False)

    def two_at_once(self) -> None:
        self.keep(self.chance.randint(1, 2))
        other = self.phone.open()
        for page in (other, self.page()):
            page.evaluate(
                "() => { dispatchEvent(new Event('online'));"
                " phone.then((it) => Promise.all([it.flush(), it.flush()])); }"
            )
        self.a_moment()
        other.close()

    def house_killed(self) -> None:
        self.keep(3)
        self.begin("await (await phone).flush();")
        self.a_moment()
        self.house.kill()
        with contextlib.suppress(Error):
            self.flush()
        self.house.start()

    def browser_killed(self) -> None:
        self.keep(2)
        self.begin("await (await phone).flush();")
        self.a_moment()
        self.tab = None
        self.phone.kill()
        self.phone.switch_on()

    def everything_arrives(self) -> None:
        """Send until nothing waits."""
        until = time.monotonic() + 60
        while self.page().evaluate("async () => (await (await phone).waiting()).length"):
            assert time.monotonic() < until, "something never arrives"
            self.flush()


@pytest.mark.parametrize("with_locks", [True, False], ids=["locks", "lease"])
def test_every_entry_is_there_exactly_once(
    browser: Browser, chromium_path: str, tmp_path: Path, with_locks: bool
) -> None:
    journal = tmp_path / "garden.heapwright"
    with Garden.open(journal) as garden:
        setup.save_bin(garden, name="Left", origin="page", width_m=1, depth_m=1, height_m=1)
    chance = random.Random(f"{SEED} {with_locks}")
    with killable(journal) as house:
        phone = OfflinePhone(
            browser.browser_type, chromium_path, tmp_path / "phone", house.address, with_locks
        )
        phone.switch_on()
        afternoon = Afternoon(phone, house, chance)
        kinds = afternoon.interruptions()
        for _ in range(INTERRUPTIONS // 2):
            weights = [weight for weight, _ in kinds.values()]
            (kind,) = chance.choices(list(kinds), weights)
            afternoon.counts[kind] += 1
            kinds[kind][1]()
        afternoon.everything_arrives()
        phone.kill()
    with Garden.open(journal) as garden:
        found = Counter(str(e.body.get("note", e.body.get("text"))) for e in garden.entries()[1:])
    assert sum(afternoon.counts.values()) == INTERRUPTIONS // 2
    assert {note: found[note] for note in afternoon.kept if found[note] != 1} == {}
    assert {note: n for note, n in found.items() if n != 1} == {}
    assert set(found) <= {*afternoon.kept, *afternoon.perhaps}
    print(dict(afternoon.counts), f"{len(afternoon.kept)} kept, {len(found)} there")
    shutil.rmtree(tmp_path / "phone", ignore_errors=True)
