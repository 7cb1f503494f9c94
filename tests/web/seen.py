"""What somebody reads on a page: its words, without the marks between them."""

import html
import re

IN_A_LINE = re.compile("</?(?:a|b|del|small|span|strong|time)(?: [^>]*)?>")


def words_on(answer):
    """The text of a page, every run of blanks as one."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", IN_A_LINE.sub("", answer.content.decode()))).split())
