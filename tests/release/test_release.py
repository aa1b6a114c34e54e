# SPDX-License-Identifier: GPL-3.0-or-later
"""What `meson install` puts in place: program, manual pages, completions, headers, the library for pkg-config, and the
worked example against them. With CW_PACKAGE=1 also the Debian package: built, installed into a root of its own, run,
removed without a trace. Speaks TAP. Usage: test_release.py BUILD_FOLDER SOURCE_ROOT"""
import json
import os
import re
import subprocess
import sys
import tempfile

BUILD, ROOT = sys.argv[1], sys.argv[2]
TESTS = []
STAGE = tempfile.TemporaryDirectory()
ENVIRONMENT = {name: value for name, value in os.environ.items() if not name.startswith("MESON")}


def test(function):
    TESTS.append(function)
    return function


def run(*words, **more):
    return subprocess.run(words, check=True, capture_output=True, text=True, env=more.pop("env", ENVIRONMENT), **more).stdout


def installed(*parts):
    found = [os.path.join(folder, name) for folder, _, names in os.walk(STAGE.name) for name in names]
    matches = [path for path in found if path.endswith(os.path.join(*parts))]
    assert len(matches) == 1, (parts, matches)
    return matches[0]


@test
def everything_is_installed():
    run("meson", "install", "-C", BUILD, "--no-rebuild", "--quiet", env=dict(ENVIRONMENT, DESTDIR=STAGE.name))
    for parts in (("bin", "coilwright"), ("include", "coilwright", "coilwright.h"), ("pkgconfig", "coilwright.pc"),
                  ("man1", "coilwright.1"), ("completions", "coilwright"), ("vendor-completions", "_coilwright"),
                  ("coilwright", "LICENCES.md"), ("examples", "press-brake.yaml")):
        installed(*parts)


@test
def every_verb_has_a_manual_page_with_all_its_options():
    table = json.loads(run(installed("bin", "coilwright"), "--help", "--json"))
    for verb in table["verbs"]:
        page = open(installed("man1", f"coilwright-{verb['name']}.1"), encoding="utf-8").read().replace("\\-", "-")
        assert verb["summary"] in page, verb["name"]
        for option in verb["options"] + table["common"]:
            assert ("--" if len(option["name"]) > 1 else "-") + option["name"] in page, (verb["name"], option["name"])


@test
def the_completion_offers_verbs_and_their_options():
    script = (f". '{installed('completions', 'coilwright')}'; COMP_CWORD=$1; shift; COMP_WORDS=(coilwright \"$@\"); "
              "_coilwright; echo \"${COMPREPLY[@]}\"")
    assert run("bash", "-c", script, "-", "1", "ident").split() == ["identify"]
    assert "--resistance" in run("bash", "-c", script, "-", "3", "wire", "29", "--re").split()


@test
def the_worked_example_builds_against_the_installed_library_and_answers():
    prefix = os.path.dirname(os.path.dirname(installed("bin", "coilwright")))
    described = open(installed("pkgconfig", "coilwright.pc"), encoding="utf-8").read()
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "coilwright.pc"), "w", encoding="utf-8") as moved:  # it lies in a stage, not in place
            moved.write(re.sub("^prefix=.*$", f"prefix={prefix}", described, flags=re.MULTILINE))
        flags = run("pkg-config", "--cflags", "--libs", "coilwright", env=dict(ENVIRONMENT, PKG_CONFIG_PATH=folder)).split()
        program = os.path.join(folder, "what_was_it")
        sanitized = ["-fsanitize=address,undefined"] if "sanitize" in BUILD else []
        covered = ["--coverage"] if "coverage" in BUILD else []
        run("cc", "-std=c17", "-Wall", "-Werror", installed("api", "what_was_it.c"), *flags, *sanitized, *covered, "-o",
            program, cwd=folder)
        out = run(program, os.path.join(ROOT, "examples", "press-brake.yaml"),
                  env=dict(ENVIRONMENT, ASAN_OPTIONS="detect_leaks=0"), cwd=folder)
        assert re.search(r"It was 28 AWG single", out) and re.search(r"Wind \d+ turns of 28 AWG", out), out


if os.environ.get("CW_PACKAGE"):
    @test
    def the_debian_package_installs_runs_and_leaves_nothing():
        with tempfile.TemporaryDirectory() as folder:
            package = run(os.path.join(ROOT, "tools", "package_debian"), folder).strip()
            root = os.path.join(folder, "root")
            admin = os.path.join(root, "var", "lib", "dpkg")
            os.makedirs(os.path.join(admin, "info"))
            os.makedirs(os.path.join(admin, "updates"))
            open(os.path.join(admin, "status"), "w").close()
            dpkg = ["dpkg", f"--root={root}", "--force-not-root", "--force-depends", "--log=/dev/null"]
            run(*dpkg, "--install", package)
            out = run(os.path.join(root, "usr", "bin", "coilwright"), "identify",
                      os.path.join(root, "usr", "share", "doc", "coilwright", "examples", "press-brake.yaml"))
            assert "28 AWG" in out
            run(*dpkg, "--purge", "coilwright")
            left = [os.path.join(f, n) for f, _, names in os.walk(os.path.join(root, "usr")) for n in names]
            assert not left, left


print(f"1..{len(TESTS)}")
failed = 0
for number, function in enumerate(TESTS, 1):
    try:
        function()
        print(f"ok {number} - {function.__name__}")
    except Exception as problem:  # noqa: BLE001: a test that breaks in any way has failed
        failed += 1
        told = getattr(problem, "stderr", "") or ""
        print(f"not ok {number} - {function.__name__}")
        print("# " + f"{type(problem).__name__}: {problem} {told}".replace("\n", "\n# ")[:3000])
    sys.stdout.flush()
sys.exit(1 if failed else 0)
