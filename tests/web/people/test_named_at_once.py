"""Two who take the same name in the same moment: one has it, the other is told so in words, on either database."""

from tests.web.places import POSTGRESQL

SAVED, REFUSED, MEANWHILE, SHOWN = 302, 422, 409, 200


def test_a_name_that_two_take_in_the_same_moment_is_one_persons(empty):
    told, names = empty.act("tests.web.between.named_at_once")
    server = empty.database == POSTGRESQL
    assert {what: sorted(statuses) for what, statuses in told.items()} == {
        "crew": [SAVED, REFUSED],
        "username": [SHOWN, REFUSED],
        "name": [SHOWN, REFUSED],
        "own name": [SAVED, REFUSED],
        "crew of the administrator": [SAVED, REFUSED],
        # SQLite takes one after the other; on PostgreSQL the administrator's page looks again, and shows what is there
        "role": [SHOWN, SAVED] if server else [SAVED, SAVED],
        "piece": [SAVED, REFUSED],
        "copy": [SAVED, REFUSED],
        "back": [SAVED, REFUSED],
        "piece of the administrator": [SAVED, MEANWHILE if server else REFUSED],
    }
    assert names == {
        "crews": ["East", "Hill", "North", "West"],
        "people": sorted(["five", "zoe", "one", "same"]),
        "roles": 1,
        "pieces": ["V-1", "V-2", "V-3", *(["V-4"] if server else []), "V-5"],
    }


def test_two_links_to_the_first_account_make_one(empty):
    assert empty.act("tests.web.between.first_at_once") == [[SAVED, SAVED], 1]  # one enters, the other is sent back
