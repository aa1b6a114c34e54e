# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes a winding program of so many blocks: a winder's coordinated moves, a hundred a turn, to and fro between flanges,
one block in ten with an expression. Usage: long_program.py BLOCKS FILE"""
import sys

blocks, path = int(sys.argv[1]), sys.argv[2]
with open(path, "w", encoding="ascii") as out:
    out.write("%\nG21\nG40 G49 G80\nG64 P0.01\nG90\nG0 X0.16\nM0\nG91 G94 F36000\n")
    for block in range(blocks - 9):
        way = 1 if block // 10000 % 2 == 0 else -1
        if block % 10 == 9:
            out.write(f"G1 A[360/100] X[{way}*0.32/100]\n")
        else:
            out.write(f"G1 A3.6 X{0.0032 * way:.4f}\n")
    out.write("G90\nM30\n%\n")
