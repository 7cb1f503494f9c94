"""Two who name a task in the same moment: two tasks of a job never have one name, on either database."""

TURNS = 4


def test_two_tasks_named_in_the_same_moment_have_two_names(empty):
    empty.act("people")
    told = empty.act("tests.web.at_once.name_tasks", turns=TURNS)
    for turn in range(TURNS):
        made, renamed, back = told[3 * turn : 3 * turn + 3]
        assert made == [[302, 302], ["New", "New (2)"]]
        assert renamed[0] == [302, 422], renamed  # the second is told that the name is taken
        assert len({name.casefold() for name in renamed[1]}) == 2
        assert back == [[302, 302], ["Back", "Back (2)"]]
