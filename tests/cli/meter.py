# SPDX-License-Identifier: GPL-3.0-or-later
"""A bench meter for tests: a process on loopback, or behind a pseudo-terminal, that answers as its manner says.

Usage: meter.py MANNER [tcp | pty]   prints its address, answers until it is killed
Manners: good, settles, pieces, slow, silent, garbage, over-range, negative, ignorant, jumps, hangs-up, odd-name, cools, winding-cools"""
import math
import os
import socket
import sys
import time
import tty

manner, kind = sys.argv[1], sys.argv[2] if len(sys.argv) > 2 else "tcp"
start, count = None, 0


def answer(question):
    """Bytes to say, in the pieces in which to say them."""
    global start, count
    if question == "*IDN?":
        return [b"ACME # {x: y},\"M7\",0042,1.0\n" if manner == "odd-name" else b"ACME,M7,0042,1.0\n"]
    if question == "SYST:ERR?":
        return [b'-113,"Undefined header"\n' if manner == "ignorant" else b'0,"No error"\n']
    if question.startswith("MEAS:TEMP?"):
        return [b"+2.41300000E+01\n"]
    if not question.startswith("MEAS:"):
        return []
    count += 1
    start = start or time.monotonic()
    ohms = {"settles": 84.2 * (1 + 0.5 * 0.2 ** count), "jumps": 84.2 * (1 + 0.1 * (count % 2)),
            "negative": -84.2, "cools": 100 - count,
            # a winding of 84 ohm in a room at 20 °C, that was 80 K warmer by IEC 60028's 0.393 % when it was switched off 20 s
            # before it was first asked, and cools with a time constant of 100 s
            "winding-cools": 84 * (1 + 0.00393 * 80 * math.exp(-(20 + time.monotonic() - start) / 100))}.get(manner, 84.2031)
    text = f"{ohms:+.8E}\n".encode()
    if manner == "pieces":
        return [text[i:i + 1] for i in range(len(text))]
    if manner == "over-range":
        return [b"+9.90000000E+37\n"]
    if manner == "garbage":
        return [b"\x00\xfe\xffnonsense\n"]
    if manner in ("silent", "ignorant"):
        return []
    if manner == "slow":
        time.sleep(0.7)
    return [text]


def serve(read, write):
    waiting = b""
    while chunk := read():
        waiting += chunk
        while b"\n" in waiting:
            line, waiting = waiting.split(b"\n", 1)
            if manner == "hangs-up" and line.startswith(b"MEAS"):
                return
            for piece in answer(line.decode("ascii", "replace").strip()):
                write(piece)
                if manner == "pieces":
                    time.sleep(0.005)


if kind == "pty":
    master, slave = os.openpty()
    tty.setraw(slave)
    print(f"serial:{os.ttyname(slave)}:9600:8N1", flush=True)
    serve(lambda: os.read(master, 4096), lambda piece: os.write(master, piece))
else:
    listener = socket.create_server(("127.0.0.1", 0))
    print(f"tcp:127.0.0.1:{listener.getsockname()[1]}", flush=True)
    while True:
        line, _ = listener.accept()
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        try:
            serve(lambda: line.recv(4096), line.sendall)
        except ConnectionError:
            pass
        line.close()
