# SPDX-License-Identifier: GPL-3.0-or-later
"""Judges an HTML sheet by Python's own parser: every tag closed, one heading of the first rank and none skipped, pictures
with words, tables with headings, controls with names, links that lead somewhere, and nothing that is not in the file.
Prints "sound" or what is wrong. Usage: judge_page.py FILE"""
import base64
import re
import sys
from html.parser import HTMLParser

VOID = {"meta", "img", "input", "br", "link"}


class Judge(HTMLParser):
    def __init__(self):
        super().__init__()
        self.open, self.wrong, self.ids, self.links, self.ranks, self.texts = [], [], [], [], [], []

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if tag not in VOID:
            self.open.append(tag)
        if "id" in attributes:
            self.ids.append(attributes["id"])
        self.links += [attributes["href"]] if tag == "a" else []
        self.links += ["#" + attributes["aria-labelledby"]] if "aria-labelledby" in attributes else []
        self.ranks += [int(tag[1])] if re.fullmatch("h[1-6]", tag) else []
        if tag in ("script", "link", "iframe", "object", "base") or any(name.startswith("on") for name in attributes):
            self.wrong.append("%s %s" % (tag, attributes))
        if tag == "img":
            if not attributes.get("alt"):
                self.wrong.append("a picture without words")
            kind, data = attributes["src"].split(",", 1)
            if not re.fullmatch("data:image/(svg\\+xml|png);base64", kind) or not base64.b64decode(data, validate=True):
                self.wrong.append("a picture from elsewhere")
        if tag == "input" and not attributes.get("aria-label") and "label" not in self.open:
            self.wrong.append("a control without a name")
        if tag == "html" and attributes.get("lang") != "en":
            self.wrong.append("no language")

    def handle_endtag(self, tag):
        if tag in VOID or not self.open or self.open.pop() != tag:
            self.wrong.append("</%s>" % tag)

    def handle_data(self, data):
        self.texts.append(data)


source = open(sys.argv[1], encoding="utf-8").read()
judge = Judge()
judge.feed(source)
judge.close()
wrong = judge.wrong + ["<%s> stays open" % tag for tag in judge.open]
wrong += ["id %s twice" % i for i in set(judge.ids) if judge.ids.count(i) > 1]
wrong += ["link to %s" % link for link in judge.links if link[0] != "#" or link[1:] not in judge.ids]
wrong += ["heading of rank %d after %d" % (b, a) for a, b in zip(judge.ranks, judge.ranks[1:]) if b > a + 1]
wrong += [] if judge.ranks.count(1) == 1 else ["not one first heading"]
wrong += [] if source.startswith("<!DOCTYPE html>") and source.count("<main>") == 1 else ["no document with one main part"]
wrong += ["a table without caption or headings" for table in re.findall("<table>.*?</table>", source, re.S)
          if "<caption>" not in table or 'scope="col"' not in table or 'scope="row"' not in table]
wrong += ["something from the network: " + found for found in re.findall("(?:https?:|url\\(|@import)[^\"]{0,40}", source)]
print("; ".join(wrong) if wrong else "sound")
