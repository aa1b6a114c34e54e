# SPDX-License-Identifier: GPL-3.0-or-later
"""Adds up the cases of a Meson run and prints "N passed, N failed": count_tests.py testlog.junit.xml"""
import sys
import xml.etree.ElementTree as tree

passed = failed = 0
for case in tree.parse(sys.argv[1]).getroot().iter("testcase"):
    if case.find("failure") is not None or case.find("error") is not None:
        failed += 1
    elif case.find("skipped") is None:
        passed += 1
print(f"{passed} passed, {failed} failed")
sys.exit(1 if failed or not passed else 0)
