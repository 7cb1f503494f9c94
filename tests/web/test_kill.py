"""A counter that is killed while it writes: what it answered for is there, what is there is whole, it starts again."""

import http.client
import io
import random
import re
import threading
import time

from PIL import Image

from tests.tier import KILLED_SERVERS
from tests.web.places import SUPPLY, Browser

BROKEN_OFF = (OSError, http.client.HTTPException)
SEED = 20260512
TAGS = "ABCDEFGH"


class Hand:
    """One of those who save, again and again, until the counter is gone; notes what was answered for."""

    def __init__(self, counter, told, act, mark):
        self.browser = Browser(counter.address, told["session"])
        self.told, self.act, self.mark = told, act, mark
        self.saved, self.wrong, self.job = [], [], ""
        self.thread = threading.Thread(target=self.work)
        self.thread.start()

    def work(self):
        turn = 0
        while True:
            turn += 1
            try:
                self.act(self, f"{self.mark} {turn}")
            except BROKEN_OFF:
                return
            except AssertionError as error:
                self.wrong.append(str(error))
                return

    def post(self, name, status, headers, text):
        assert status == 302, f"{name}: {status} {re.findall('(?:told|wrong)[^>]*>([^<]*)', text)}"
        self.saved.append(name)
        return headers["Location"]


def job(hand, name):
    hand.post(name, *hand.browser.fill("/jobs/new/", name=name, **SUPPLY))


def task(hand, name):
    if not hand.job:  # a job of one's own each time: none takes more than a hundred tasks
        status, headers, text = hand.browser.fill("/jobs/new/", name=f"for {name}", **SUPPLY)
        assert status == 302, text
        hand.job = headers["Location"]
    hand.post(name, *hand.browser.ask(f"{hand.job}tasks/new/", {"name": name}))


def piece(hand, name):
    hand.post(name, *hand.browser.fill("/yard/new/fitting/", name=name, **{"spec-bore": "12 mm"}))


def photo(hand, name):
    picture = io.BytesIO()
    Image.effect_noise((400, 300), 50).save(picture, "JPEG")
    status, headers, text = hand.browser.fill("/yard/new/fitting/", name=name, **{"spec-bore": "12 mm"})
    assert status == 302, text
    hand.post(name, *hand.browser.send(headers["Location"] + "photos/", "photo", picture.getvalue()))


def split(hand, name):
    """A row of hoses, and then eight pieces of it with tags of their own: many rows in one act."""
    facts = {"spec-bore": "12 mm", "spec-length": "20 m", "spec-count": str(len(TAGS) + 1)}
    status, headers, text = hand.browser.fill("/yard/new/hose/", name=f"row {name}", **facts)
    assert status == 302, text
    page = hand.browser.ask(headers["Location"])[2]
    version = re.search('name="version" value="([0-9]+)"', page)[1]
    told = {"version": version, "tags": "\n".join(f"{tag} {name}" for tag in TAGS)}
    hand.post(name, *hand.browser.ask(headers["Location"] + "split/", told))


def sign(hand, name):
    status, _headers, text = hand.browser.ask(hand.told["sign"])
    assert status == 200, text
    from tests.web.acts import sign_form

    hand.post(name, *hand.browser.ask(hand.told["sign"], sign_form(text)))


ACTS = {"job": job, "task": task, "piece": piece, "photo": photo, "split": split, "sign": sign}


def test_what_was_answered_for_is_there_and_whole(empty):
    """Killed at a moment that chance picks (seeded), again and again in one place, while six hands save on."""
    chance = random.Random(SEED)
    told = empty.act("people", demo=True)
    saved = {name: [] for name in ACTS}
    for turn in range(KILLED_SERVERS):
        with empty.served() as counter:
            hands = {name: Hand(counter, told, act, f"{name} {turn}") for name, act in ACTS.items()}
            until = time.monotonic() + 60
            while not all(hand.saved or hand.wrong for hand in hands.values()) and time.monotonic() < until:
                time.sleep(0.02)
            time.sleep(chance.uniform(0.0, 1.5))
            counter.process.kill()
            counter.process.wait(10)
            for name, hand in hands.items():
                hand.thread.join(40)
                assert not hand.thread.is_alive()
                assert hand.wrong == []
                saved[name] += hand.saved
        found = empty.act("whole")
        assert set(saved["job"]) <= set(found["jobs"])
        assert set(saved["task"]) <= set(found["tasks"])
        assert set(saved["piece"]) <= set(found["pieces"])
        for name, count in found["counted"].items():
            own = name.removeprefix("row ")
            assert [f"{tag} {own}" in found["pieces"] for tag in TAGS] == [count == 1] * len(TAGS), name
        assert {f"row {name}" for name in saved["split"]} <= {name for name, n in found["counted"].items() if n == 1}
        assert len(found["photos"]) >= len(saved["photo"])
        assert found["records"] >= len(saved["sign"])
        assert found["findings"] == [[]]  # numbers without a hole, each seal whole, each following the one before
        assert found["without a line in the trail"] == []
        assert (found["photos lost"], found["torn"]) == ([], [])
    with empty.served() as counter:
        assert Browser(counter.address, told["session"]).ask("/yard/")[0] == 200
    assert min(map(len, saved.values())) >= KILLED_SERVERS
