/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference of benchmarks/run.py: a process that starts and ends. */
int main(void)
{
    return 0;
}
