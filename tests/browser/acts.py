"""Somebody at a page, who does one thing after another and counts them: each click, each field, each choice is one."""

import re


class Hands:
    """page: the page that they are at; done: what they did, in words."""

    def __init__(self, page):
        self.page = page
        self.done = []

    def click(self, name, role="button", **options):
        self.done.append(f"click {name}")
        self.page.get_by_role(role, name=name, exact=True, **options).first.click()

    def follow(self, name):
        self.click(name, "link")

    def type(self, label, text):
        self.done.append(f"type {label}")
        self.page.get_by_label(label, exact=True).fill(text)

    def choose(self, label, option):
        self.done.append(f"choose {label}")
        self.page.get_by_label(label, exact=True).select_option(label=option)

    def first_account(self, link):
        """From the one-time link to the page of jobs."""
        self.page.goto(link)
        self.type("Name", "Ada Moe")
        self.type("Name to enter with", "ada")
        self.type("Password", "Nine herons wade")
        self.type("PIN", "4711")
        self.type("Name of the crew", "North")
        self.click("Make the account and enter")
        self.at("/jobs/")

    def at(self, address):
        """Wait until the page is there."""
        self.page.wait_for_url(re.compile(address))
