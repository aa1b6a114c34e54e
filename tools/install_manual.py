# SPDX-License-Identifier: GPL-3.0-or-later
"""Called by `meson install`: install_manual.py PROGRAM MANDIR DATADIR. Runs the freshly built program, which need not be in
its place yet, and puts its manual pages and completions there."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

program, man_folder, data_folder = sys.argv[1:4]
program = os.path.join(os.environ["MESON_BUILD_ROOT"], program)
prefix = pathlib.Path(os.environ["MESON_INSTALL_DESTDIR_PREFIX"])
maker = pathlib.Path(__file__).with_name("manual.py")
with tempfile.TemporaryDirectory() as made:
    subprocess.run([sys.executable, str(maker), program, made], check=True)
    for source in sorted(pathlib.Path(made).iterdir()):
        if source.suffix == ".1":
            target = prefix / man_folder / "man1" / source.name
        elif source.suffix == ".bash":
            target = prefix / data_folder / "bash-completion" / "completions" / "coilwright"
        else:
            target = prefix / data_folder / "zsh" / "vendor-completions" / source.name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
        target.chmod(0o644)
