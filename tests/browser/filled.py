"""A counter's place with something of everything in it."""

import contextlib
import copy
import json
import shutil
import subprocess
import sys

from tests.web.places import ROOT, Place


class Filled(Place):
    """pages: what each is called → its address; cookies: a session in which Ada, who may see it all, has entered."""

    def __init__(self, folder, language="en", units="si"):
        super().__init__(folder)
        done = subprocess.run(
            [sys.executable, "-m", "tests.browser.filling", language, units],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )
        assert done.returncode == 0, done.stderr[-2000:]
        told = json.loads(done.stdout)
        self.pages, self.cookies = told["addresses"], told["cookies"]

    def copied(self, folder):
        """The same place again, to change."""
        made = copy.copy(self)
        made.folder, made.environment = folder, self.environment | {"JETWRIGHT_DATA": str(folder)}
        shutil.copytree(self.folder, folder)
        return made

    @contextlib.contextmanager
    def served(self, **environment):
        with super().served(**environment) as counter:
            counter.pages, counter.cookies = self.pages, self.cookies
            yield counter
