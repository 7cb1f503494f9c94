"""Every page of the counter: what it is called, and the ids that its address needs."""

from django.urls import URLPattern, URLResolver, get_resolver, reverse

PAGES = {
    "people:list": (),
    "people:enter": (),
    "people:switch": (),
    "people:me": (),
    "people:new": (),
    "people:new_crew": (),
    "people:trail": (),
    "people:page": ("person",),
    "yard:list": (),
    "yard:new": ("kind",),
    "yard:first_unit": (),
    "yard:labels": (),
    "yard:files": (),
    "yard:page": ("hose",),
    "yard:change": ("unit",),
    "yard:history": ("hose",),
    "yard:taken": ("unit",),
    "jobs:list": (),
    "jobs:new": (),
    "jobs:bring": (),
    "jobs:page": ("job",),
    "jobs:task": ("job", "noon"),
    "jobs:plan": ("job", "noon"),
    "jobs:cures": ("refused_job", "refused"),
    "jobs:tips": ("job", "noon"),
    "jobs:change_card": ("job", "noon"),
    "jobs:compare": ("job",),
    "records:list": (),
    "records:check": (),
    "records:sign": ("noon",),
    "records:page": ("record",),
}
"""Name of an address that shows a page → the ids it needs."""

MORE = {
    "a unit": ("yard:page", ("unit",), ""),
    "the second question": ("yard:first_unit", (), "?question=2"),
    "the third question": ("yard:first_unit", (), "?question=3"),
    "the fourth question": ("yard:first_unit", (), "?question=4"),
    "the last question": ("yard:first_unit", (), "?question=5"),
    "retired pieces": ("yard:list", (), "?retired=yes"),
    "a plan that is not allowed": ("jobs:plan", ("refused_job", "refused"), ""),
    "a plan with several tools": ("jobs:plan", ("job", "morning"), ""),
    "a task without a rig": ("jobs:task", ("bare_job", "bare"), ""),
    "a plan that cannot be made": ("jobs:plan", ("bare_job", "bare"), ""),
    "a place for a piece": ("jobs:task", ("job", "noon"), "?run=0&at=0"),
    "a job without a unit": ("jobs:page", ("bare_job",), ""),
    "signing what is not allowed": ("records:sign", ("refused",), ""),
    "two tasks side by side": ("jobs:compare", ("job",), "?a={morning}&b={noon}"),
}
"""The same pages with something else on them → name, ids, what is asked."""

NO_PAGES = {
    "home", "people:first", "people:here", "people:unlock", "yard:understood", "yard:toml", "yard:csv", "yard:photo",
    "yard:photo_small", "yard:label", "jobs:file", "jobs:rig", "records:sheet", "records:body",
}  # fmt: skip
"""Addresses that answer a GET with a file, a part of a page, the way to another, or a page that shows only at times."""


def addresses(ids):
    """What each page is called → its address."""
    known = {**ids, "kind": "hose"}
    found = {name: reverse(name, args=[known[one] for one in needs]) for name, needs in PAGES.items()}
    for title, (name, needs, asked) in MORE.items():
        found[title] = reverse(name, args=[known[one] for one in needs]) + asked.format(**known)
    return found


APPS = ("people", "yard", "jobs", "records", "more")


def of_app(pages, app):
    """The pages of an app; "more": what has no name of its own."""
    return {name: one for name, one in pages.items() if (name.split(":")[0] if ":" in name else "more") == app}


def names():
    """The names of every address of ours, from the resolver itself → its pattern."""
    return dict(_names(get_resolver(), ""))


def _names(resolver, space):
    for one in resolver.url_patterns:
        if isinstance(one, URLResolver) and one.namespace not in ("admin", "api"):
            yield from _names(one, f"{one.namespace}:" if one.namespace else space)
        elif isinstance(one, URLPattern):
            yield f"{space}{one.name}", one
