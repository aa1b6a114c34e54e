# SPDX-License-Identifier: GPL-3.0-or-later
"""Adds up the cases of a Meson run and prints "N passed, N failed": count_tests.py MESON-LOGS

A program that was killed or timed out reports no failing case; it counts as one failure all the same."""
import json
import os
import sys
import xml.etree.ElementTree as tree

logs = sys.argv[1]
passed, failed = 0, {}
for suite in tree.parse(os.path.join(logs, "testlog.junit.xml")).getroot().iter("testsuite"):
    for case in suite.iter("testcase"):
        if case.find("failure") is not None or case.find("error") is not None:
            failed[suite.get("name")] = failed.get(suite.get("name"), 0) + 1
        elif case.find("skipped") is None:
            passed += 1
for line in open(os.path.join(logs, "testlog.json"), encoding="utf-8"):
    test = json.loads(line)
    if test["result"] == "SKIP":
        print(f"skipped: {test['name']}")
    bad = test["result"] not in ("OK", "SKIP", "EXPECTEDFAIL")
    if bad and not any(name.endswith(test["name"].split(" / ")[-1]) for name in failed):
        failed[test["name"]] = 1
total = sum(failed.values())
print(f"{passed} passed, {total} failed")
sys.exit(1 if total or not passed else 0)
