/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small programs with what they must give: so many turns, or an error in a line.
 *
 * Every row names the section of the numeric control notes [NC] in docs/references.md that it comes from; those name
 * the standard's own section. Values are seen through a rotary axis: G1 A360 lays one turn. */
#include "coilwright/nc.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

typedef struct row {
    const char *title; /* section, and what is true */
    cw_code code;
    const char *program;
    double turns;      /* where it reads; NAN: not looked at */
    int line;          /* of the first error; 0: none */
    const char *text;  /* of the first error, or of a warning that must be among them; NULL: none */
    bool deletes;      /* block delete switched on */
} row;

/* A rotary preamble: 100 revolutions a minute, incremental, no ramps seen in the count. */
#define R "G21 G91 G94 F36000\n"
#define END "\nM2\n"
/* A value: 1000 degrees and it. */
#define VALUE(title, expression, value) \
    { title, CW_ROTARY_A, R "G1 A[1000+[" expression "]]" END, (1000 + (value)) / 360.0, 0, NULL, false }
#define DEGREES(title, words, value) \
    { title, CW_ROTARY_A, R "G1 " words END, (value) / 360.0, 0, NULL, false }
#define READS(title, program, turns) { title, CW_ROTARY_A, program, turns, 0, NULL, false }
#define REFUSED(title, program, line, text) { title, CW_ROTARY_A, program, NAN, line, text, false }
#define LATHE(title, program, turns) { title, CW_G33_K, program, turns, 0, NULL, false }
#define LATHE_REFUSED(title, program, line, text) { title, CW_G33_K, program, NAN, line, text, false }
#define WARNED(title, code, program, text) { title, code, program, NAN, 0, text, false }
/* A lathe that runs: millimetres, absolute, 60 a minute. */
#define L "G21 G90 G97 S60\nG0 Z0\nM3\n"

static const row rows[] = {
    /* 1.1 lines */
    DEGREES("1.1 blanks inside a number mean nothing", "A 3 6 0 . 0", 360),
    DEGREES("1.1 blanks between a letter and its number mean nothing", "A + 7 2 0", 720),
    DEGREES("1.1 tabs mean nothing", "A\t36\t0", 360),
    DEGREES("1.1 letters may be small", "a360", 360),
    DEGREES("1.1 [2 3] is 23", "A[2 3]", 23),
    READS("1.1 the order of words does not matter", R "A360 G1" END, 1),
    READS("1.1 blank lines are passed over", R "\n  \n\t\nG1 A360" END, 1),
    READS("1.1 CR LF ends a line", "G21 G91 G94 F36000\r\nG1 A360\r\nM2\r\n", 1),
    READS("1.1 CR ends a line", "G21 G91 G94 F36000\rG1 A360\rM2\r", 1),
    READS("1.1 256 characters are a line",
          R "G1 A360"
          "                                                                                                    "
          "                                                                                                    "
          "                                                 " END, 1),
    REFUSED("1.1 257 characters are too many",
            R "G1 A360"
            "                                                                                                    "
            "                                                                                                    "
            "                                                  " END, 2, "The line is too long."),
    REFUSED("1.1 a byte-order mark is a bad character", "\xEF\xBB\xBFG21" END, 1,
            "A byte-order mark stands here; save the program as plain ASCII."),
    REFUSED("1.1 other characters are errors", "G21 $" END, 1, "The character '$' has no meaning here."),
    REFUSED("1.1 characters beyond ASCII are errors outside comments", "G21 \xC2\xB5" END, 1,
            "The character with code 194 has no meaning here."),
    REFUSED("1.1 a control character is an error", "G21 \x01" END, 1, "The character with code 1 has no meaning here."),
    REFUSED("1.1 a number without a letter is an error", R "360" END, 2, "A number stands without a letter before it."),

    /* 1.2 block delete */
    READS("1.2 a deleted block is executed with the switch off", R "/G1 A360\nG1 A360" END, 2),
    { "1.2 a deleted block is left out with the switch on", CW_ROTARY_A, R "/G1 A360\nG1 A360" END, 1, 0, NULL, true },
    { "1.2 blanks may stand before the slash", CW_ROTARY_A, R "  /G1 A360\nG1 A360" END, 1, 0, NULL, true },
    { "1.2 a deleted block is not even read", CW_ROTARY_A, R "/nonsense\nG1 A360" END, 1, 0, NULL, true },
    READS("1.2 a line number follows the slash", R "/N10 G1 A360" END, 1),
    REFUSED("1.2 a slash behind the line number is an error", R "N10 /G1 A360" END, 2,
            "The / of block delete stands first in its line, once."),
    REFUSED("1.2 a slash in mid-line is an error", R "G1 /A360" END, 2,
            "The / of block delete stands first in its line, once."),

    /* 1.3 line numbers */
    READS("1.3 line numbers may repeat and go back", R "N20 G1 A360\nN10 G1 A360\nN10 G1 A360" END, 3),
    READS("1.3 five digits are a line number", R "N99999 G1 A360" END, 1),
    REFUSED("1.3 six digits are not", R "N000009 G1 A360" END, 2, "A line number has 6 digits."),
    REFUSED("1.3 a line number later in the line is an error", R "G1 N10 A360" END, 2,
            "A line number stands first in its line, once."),
    REFUSED("1.3 a line number has digits", R "N G1 A360" END, 2, "N is not followed by a line number."),
    REFUSED("1.3 a line number has no point", R "N10.5 G1 A360" END, 2, "A line number has a decimal point."),

    /* 1.4 words */
    REFUSED("1.4 E is no word", R "E1" END, 2, "E is not a word of RS-274/NGC."),
    REFUSED("1.4 U is no word", R "G1 U1" END, 2, "U is not a word of RS-274/NGC."),
    REFUSED("1.4 W is no word", R "G1 W1" END, 2, "W is not a word of RS-274/NGC."),
    REFUSED("1.4 V is no word", R "G1 V1" END, 2, "V is not a word of RS-274/NGC."),
    REFUSED("1.4 a letter stands once a line", R "G1 A360 A360" END, 2, "The letter A stands twice on one line."),
    READS("1.4 four M words are allowed", R "M5 M9 M48 M1\nG1 A360" END, 1),
    REFUSED("1.4 five M words are too many", R "M5 M9 M48 M1 M6" END, 2, "More than four M words stand on one line."),
    REFUSED("1.4 the same code twice is an error", R "G1 G1 A360" END, 2,
            "G1 and G1 on one line belong to the same modal group."),

    /* 1.5 numbers */
    DEGREES("1.5 no point is needed", "A360", 360),
    VALUE("1.5 digits may be missing before the point", ".5", 0.5),
    DEGREES("1.5 digits may be missing behind the point", "A500.", 500),
    DEGREES("1.5 a plus sign is allowed", "A+500.5", 500.5),
    DEGREES("1.5 17 digits are kept", "A1234.5678901234567", 1234.5678901234567),
    DEGREES("1.5 leading zeros are allowed", "A000360", 360),
    READS("1.5 G01 is G1", R "G01 A360" END, 1),
    READS("1.5 G1. is G1", R "G1. A360" END, 1),
    READS("1.5 G1.00000 is G1", R "G1.00000 A360" END, 1),
    READS("1.5 a code within 0.00001 of an integer is that integer", R "G[1.00000999] A360" END, 1),
    REFUSED("1.5 at least one digit", R "G1 A." END, 2, "A number has no digits."),
    REFUSED("1.5 a sign is no number", R "G1 A-" END, 2, "The line ends where a number should stand."),
    REFUSED("1.5 a letter without a number is an error", R "G1 A" END, 2, "The line ends where a number should stand."),
    REFUSED("1.5 there is no exponent", R "G1 A1e3" END, 2, "E is not a word of RS-274/NGC."),
    REFUSED("1.5 there is no decimal comma", R "G1 A1,5" END, 2,
            "A comma stands in a number; programs take a decimal point."),
    REFUSED("1.5 one sign only", R "G1 A--5" END, 2, "A second sign stands behind the first."),
    REFUSED("1.5 two points are no number", R "G1 A1.2.3" END, 2, "A number stands without a letter before it."),

    /* 1.6 parameters */
    VALUE("1.6 an unset parameter is zero", "#100", 0),
    READS("1.6 a parameter keeps its value", "#100=360\n" R "G1 A#100" END, 1),
    READS("1.6 # binds tighter than anything", "#1=350\n" R "G1 A[#1+10]" END, 1),
    READS("1.6 #[1+2] is parameter 3", "#3=360\n" R "G1 A#[1+2]" END, 1),
    READS("1.6 ##2 is indirect", "#2=5 #5=360\n" R "G1 A##2" END, 1),
    READS("1.6 settings take effect behind the whole line", "#1=360\n" R "G1 A#1 #1=5" END, 1),
    READS("1.6 settings of a line do not see each other", "#1=360\n#1=1 #2=#1\n" R "G1 A#2" END, 1),
    READS("1.6 of two settings the last wins", "#1=5 #1=360\n" R "G1 A#1" END, 1),
    READS("1.6 the last index is 5399", R "G1 A[360+#5399]" END, 1),
    REFUSED("1.6 there is no index 0", R "G1 A#0" END, 2, "There is no parameter #0."),
    REFUSED("1.6 there is no index 5400", R "G1 A#5400" END, 2, "There is no parameter #5400."),
    REFUSED("1.6 an index is whole", R "G1 A#1.5" END, 2, "There is no parameter #1.5."),
    REFUSED("1.6 an index is not negative", R "G1 A#-1" END, 2, "There is no parameter #-1."),
    REFUSED("1.6 a parameter that begins a word must be set", R "#1 G1 A5" END, 2,
            "A parameter at this place must be set, #1=..."),
    REFUSED("1.6 names are the descendant's", R "G1 A#<turn>" END, 2,
            "Parameters with names are not in RS-274/NGC and are not read."),
    READS("1.6 parameter 5220 is the work offset in force", "G56\n" R "G1 A[357+#5220]" END, 1),
    READS("1.6 offsets can be read back", "G21 G10 L2 P2 Z12\n" R "G1 A[348+#5243]" END, 1),

    /* 1.7 expressions */
    VALUE("1.7 powers go from left to right", "2**3**2", 64),
    VALUE("1.7 powers before products", "2*3**2", 18),
    VALUE("1.7 products before sums", "1+2*3", 7),
    VALUE("1.7 equal rank from left to right", "7-2-1", 4),
    VALUE("1.7 quotients from left to right", "12/3/2", 2),
    VALUE("1.7 a negative number to an even power is positive", "-2**2", 4),
    VALUE("1.7 MOD has the sign of its right side", "-7 MOD 3", 2),
    VALUE("1.7 MOD ranks with products", "1+7 MOD 4", 4),
    VALUE("1.7 MOD by a negative number", "7 MOD [0-3]", -2),
    VALUE("1.7 AND", "2 AND 3", 1),
    VALUE("1.7 AND with zero", "2 AND 0", 0),
    VALUE("1.7 OR", "0 OR 5", 1),
    VALUE("1.7 XOR of two that hold", "1 XOR 1", 0),
    VALUE("1.7 XOR of one that holds", "0 XOR 7", 1),
    VALUE("1.7 brackets nest", "[[1+2]*[3+[4]]]", 21),
    VALUE("1.7 words may be in small letters and apart", "7 m o d 4", 3),
    VALUE("1.7 ABS", "ABS[-3.5]", 3.5),
    VALUE("1.7 SIN counts degrees", "SIN[30]", 0.5),
    VALUE("1.7 COS counts degrees", "COS[60]", 0.5),
    VALUE("1.7 TAN counts degrees", "TAN[45]", 1),
    VALUE("1.7 ASIN gives degrees", "ASIN[0.5]", 30),
    VALUE("1.7 ACOS gives degrees", "ACOS[0.5]", 60),
    VALUE("1.7 ATAN takes two sides and knows the quadrant", "ATAN[1]/[-1]", 135),
    VALUE("1.7 ATAN of the third quadrant", "ATAN[-1]/[-1]", -135),
    VALUE("1.7 EXP of nothing", "EXP[0]", 1),
    VALUE("1.7 LN undoes EXP", "LN[EXP[2]]", 2),
    VALUE("1.7 SQRT", "SQRT[2.25]", 1.5),
    VALUE("1.7 FIX goes down", "FIX[2.8]", 2),
    VALUE("1.7 FIX goes down below zero too", "FIX[-2.8]", -3),
    VALUE("1.7 FUP goes up", "FUP[2.2]", 3),
    VALUE("1.7 FUP goes up below zero too", "FUP[-2.8]", -2),
    VALUE("1.7 ROUND", "ROUND[2.4]", 2),
    VALUE("1.7 ROUND of a half goes away from zero", "ROUND[2.5]", 3),
    VALUE("1.7 ROUND of a negative half goes away from zero", "ROUND[-2.5]", -3),
    REFUSED("1.7 division by zero", R "G1 A[1/0]" END, 2, "Something is divided by zero."),
    REFUSED("1.7 MOD by zero", R "G1 A[1 MOD 0]" END, 2, "Something is divided by zero."),
    REFUSED("1.7 SQRT of a negative number", R "G1 A SQRT[-1]" END, 2, "SQRT of a negative number."),
    REFUSED("1.7 ACOS out of range", R "G1 A ACOS[1.5]" END, 2, "ACOS of a number beyond -1 to 1."),
    REFUSED("1.7 ASIN out of range", R "G1 A ASIN[-1.5]" END, 2, "ASIN of a number beyond -1 to 1."),
    REFUSED("1.7 LN of zero", R "G1 A LN[0]" END, 2, "LN of a number that is not above zero."),
    REFUSED("1.7 a negative number to a broken power", R "G1 A[[0-8]**0.5]" END, 2,
            "A negative number is raised to a power that is no integer."),
    REFUSED("1.7 an open bracket", R "G1 A[1+2" END, 2, "A bracket is not closed."),
    REFUSED("1.7 an unknown operation", R "G1 A[1&2]" END, 2, "'&' is no operation."),
    REFUSED("1.7 an unknown function", R "G1 A[LOG[2]]" END, 2, "'L' is no value."),
    REFUSED("1.7 ATAN with one side", R "G1 A ATAN[1]" END, 2, "ATAN takes two brackets, ATAN[y]/[x]."),
    REFUSED("1.7 a function without a bracket", R "G1 A SIN 30" END, 2, "SIN is not followed by a bracket."),
    REFUSED("1.7 comparisons are the descendant's", R "G1 A[1 GT 0]" END, 2,
            "The comparison GT is not in RS-274/NGC."),
    WARNED("1.7 logic beside sums is warned of", CW_ROTARY_A, R "G1 A[360+1 AND 1]" END,
           "AND, OR or XOR beside + or - without brackets: controls differ in what comes first."),

    /* 1.8 comments */
    READS("1.8 a comment in brackets", R "(one turn) G1 (here) A360 (there)" END, 1),
    READS("1.8 a comment behind a semicolon", R "G1 A360 ; ( anything" END, 1),
    READS("1.8 a semicolon inside brackets is text", R "(a;b) G1 A360" END, 1),
    READS("1.8 a message is a comment", R "(MSG, wind on) G1 A360" END, 1),
    READS("1.8 characters beyond ASCII pass inside a comment", R "(\xC2\xB5m) G1 A360" END, 1),
    REFUSED("1.8 comments do not nest", R "(a (b) c)" END, 2, "A comment opens inside a comment."),
    REFUSED("1.8 a comment closes on its line", R "(a\nb)" END, 2, "A comment is not closed on its line."),
    REFUSED("1.8 a lone closing bracket", R "G1 A360 )" END, 2, "A comment closes that was not opened."),
    REFUSED("1.8 no comment between a letter and its number", R "G1 A(x)360" END, 2, "A number has no digits."),

    /* 1.9 frame */
    READS("1.9 two lone percent signs frame a program", "%\n" R "G1 A360\n%\nnonsense\n", 1),
    READS("1.9 M2 ends a framed program too", "%\n" R "G1 A360\nM2\n", 1),
    READS("1.9 nothing behind M2 is read", R "G1 A360\nM2\nnonsense\n", 1),
    READS("1.9 nothing behind M30 is read", R "G1 A360\nM30\nnonsense\n", 1),
    READS("1.9 a program number may follow the percent sign", "%\nO1234 (COIL)\n" R "G1 A360\n%\n", 1),
    { "1.9 without M2 the file ends too early, after all has been done", CW_ROTARY_A, R "G1 A360\n", 1, 2,
      "The program ends without M2 or M30.", false },
    { "1.9 a percent sign wants its second", CW_ROTARY_A, "%\n" R "G1 A360\n", 1, 3,
      "The program began with % and ends without a second one, M2 or M30.", false },
    REFUSED("1.9 a percent sign stands alone", "% COIL\n" R "G1 A360" END, 1,
            "The % of a program's start and end stands alone on its line."),
    REFUSED("1.9 a colon is refused", ":1234\nG21" END, 1, "The character ':' has no meaning here."),
    { "1.9 a title may follow the percent sign on lathes", CW_G99, "% COIL\nO0001\nG21\nM30\n%\n", 0, 0, NULL, false },

    /* 1.10 flow control */
    REFUSED("1.10 loops are refused, not skipped", R "o100 repeat [5]\nG1 A360\no100 endrepeat" END, 2,
            "O words (subroutines, loops, branches) are not read; a replay that skipped them would count wrong turns."),
    REFUSED("1.10 subprograms are refused", R "M98 P100" END, 2,
            "M98 is the call of a subprogram; a replay that skipped it would count wrong turns."),
    REFUSED("1.10 the end of a subprogram is refused", R "M99" END, 2,
            "M99 is the end of a subprogram; a replay that skipped it would count wrong turns."),

    /* 2 modal groups */
    REFUSED("2 G0 and G1", "G0 G1 A5" END, 1, "G0 and G1 on one line belong to the same modal group."),
    REFUSED("2 G90 and G91", "G90 G91" END, 1, "G90 and G91 on one line belong to the same modal group."),
    REFUSED("2 G20 and G21", "G20 G21" END, 1, "G20 and G21 on one line belong to the same modal group."),
    REFUSED("2 G93 and G94", "G93 G94" END, 1, "G93 and G94 on one line belong to the same modal group."),
    REFUSED("2 G17 and G18", "G17 G18" END, 1, "G17 and G18 on one line belong to the same modal group."),
    REFUSED("2 G54 and G59.3", "G54 G59.3" END, 1, "G54 and G59.3 on one line belong to the same modal group."),
    REFUSED("2 G61 and G64", "G61 G64" END, 1, "G61 and G64 on one line belong to the same modal group."),
    REFUSED("2 G96 and G97", "G96 S1 G97" END, 1, "G96 and G97 on one line belong to the same modal group."),
    REFUSED("2 G7 and G8", "G7 G8" END, 1, "G7 and G8 on one line belong to the same modal group."),
    REFUSED("2 G98 and G99 are the return level", "G98 G99" END, 1,
            "G98 and G99 on one line belong to the same modal group."),
    REFUSED("2 M0 and M30", "M0 M30\n", 1, "M0 and M30 on one line belong to the same modal group."),
    REFUSED("2 M3 and M5", "M3 M5" END, 1, "M3 and M5 on one line belong to the same modal group."),
    REFUSED("2 M7 and M8", "M7 M8" END, 1, "M7 and M8 on one line belong to the same modal group."),
    REFUSED("2 M48 and M49", "M48 M49" END, 1, "M48 and M49 on one line belong to the same modal group."),
    REFUSED("2 G4 and G53 are both of group 0", "G4 P1 G53" END, 1,
            "G4 and G53 on one line belong to the same modal group."),
    READS("2 codes of different groups share a line", "G21 G91 G94 G17 G40 G49 G54 G61 G80 F36000\nG1 A360" END, 1),
    REFUSED("2 G92 and an explicit motion both want the axes", R "G92 G1 A0" END, 2,
            "G92 and G1 on one line both want the axis words."),
    REFUSED("2 G10 and an explicit motion both want the axes", R "G10 L2 P1 G0 X1" END, 2,
            "G10 and G0 on one line both want the axis words."),
    READS("2 a group 0 code suspends the motion in force", R "G1 A360\nG92 A0\nG1 A360" END, 2),
    REFUSED("2 nothing moves before a motion code", "G21 G91 F100\nA360" END, 2,
            "Axis words stand without a motion code in force, as G0, G1 or a thread."),
    REFUSED("2 nothing moves after G80", R "G1 A360\nG80\nA360" END, 4,
            "Axis words stand without a motion code in force, as G0, G1 or a thread."),
    READS("2 motion is modal", R "G1 A360\nA360\nA360" END, 3),

    /* 3 order of execution */
    LATHE("3 M3 on a line starts the spindle before the move", "G21 G90 G97\nG0 Z0\nG33 Z10 K1 M3 S60\nM5" END, NAN),
    LATHE_REFUSED("3 M5 on a line stops the spindle before the move", L "G33 Z10 K1 M5" END, 4,
                  "G33 needs the spindle, and it does not turn; M3 or M4 must come first."),
    READS("3 M30 on a line acts after the move", R "G1 A360 M30\n", 1),
    READS("3 the dwell on a line comes before the move", "G21 G90 G94\nG4 P1 G1 A360 F36000" END, 1),
    READS("3 F is taken before the units change", "G21 G91 G94\nG20 G1 X1 A360 F25.4" END, 1),
    WARNED("3 F beside a change of units is warned of", CW_ROTARY_A, "G91 G94\nG20 G1 X1 F10" END,
           "F is taken before G20 or G21 on its line changes the units; put the units on a line before."),

    /* 4 codes */
    REFUSED("4 G0 wants an axis word", "G0" END, 1, "G0 stands without an axis word."),
    REFUSED("4 G1 wants an axis word", "G1 F100" END, 1, "G1 stands without an axis word."),
    REFUSED("4 G1 wants a feed", "G21 G1 X1" END, 1, "G1 moves without a feed F."),
    REFUSED("4 G1 wants a feed above zero", "G21 G1 X1 F0" END, 1, "G1 moves with a feed F of zero."),
    REFUSED("4 F is not negative", "G21 G1 X1 F-5" END, 1, "The word F is negative."),
    REFUSED("4 S is not negative", "S-60" END, 1, "The word S is negative."),
    REFUSED("4 T is not negative", "T-1" END, 1, "The word T is negative."),
    REFUSED("4 T is whole", "T1.5" END, 1, "A tool number is an integer."),
    REFUSED("4 an arc is refused by name", R "G2 X1 Y1 R1" END, 2,
            "G2 is an arc; a replay that skipped it would count wrong turns."),
    REFUSED("4 a canned cycle is refused by name", R "G81 X1 R1" END, 2,
            "G81 is a canned cycle; a replay that skipped it would count wrong turns."),
    REFUSED("4 an unknown G code is named", "G32 Z5" END, 1, "G32 is not a code of RS-274/NGC."),
    REFUSED("4 an unknown decimal G code is named", "G21.1" END, 1, "G21.1 is not a code of RS-274/NGC."),
    REFUSED("4 G70 is no code here", "G70" END, 1, "G70 is not a code of RS-274/NGC."),
    REFUSED("4 a G code beyond 99.9", "G100" END, 1, "G100 is not a code of RS-274/NGC."),
    REFUSED("4 a negative G code", "G-1 X1" END, 1, "G-1 is negative."),
    REFUSED("4 an unknown M code is named", "M21" END, 1, "M21 is not a code of RS-274/NGC."),
    REFUSED("4 an M code beyond 99", "M100" END, 1, "M100 is not a code of RS-274/NGC."),
    REFUSED("4 an M code is whole", "M3.5" END, 1, "M3.5 is no integer."),
    REFUSED("4 G4 wants its time", "G4" END, 1, "G4 stands without the time it dwells, P."),
    REFUSED("4 G4 wants a time that is not negative", "G4 P-1" END, 1, "G4 wants a time that is not negative."),
    REFUSED("4 P wants a user", R "G1 A5 P1" END, 2, "The word P stands without a code that uses it."),
    REFUSED("4 L wants a user", R "G1 A5 L1" END, 2, "The word L stands without a code that uses it."),
    REFUSED("4 R wants a user", R "G1 A5 R1" END, 2, "The word R stands without a code that uses it."),
    REFUSED("4 I wants a user", R "G1 A5 I1" END, 2, "The word I stands without a code that uses it."),
    REFUSED("4 J wants a user", R "G1 A5 J1" END, 2, "The word J stands without a code that uses it."),
    REFUSED("4 K wants a user", R "G1 A5 K1" END, 2, "The word K stands without a code that uses it."),
    REFUSED("4 Q wants a user", R "G1 A5 Q1" END, 2, "The word Q stands without a code that uses it."),
    REFUSED("4 H wants a user", R "G1 A5 H1" END, 2, "The word H stands without a code that uses it."),
    REFUSED("4 D wants a user", R "G1 A5 D1" END, 2, "The word D stands without a code that uses it."),
    REFUSED("4 G10 wants L2", "G10 L1 P1 X5" END, 1, "G10 is read with L2 only, which sets a work offset."),
    REFUSED("4 G10 L2 wants an offset from 1 to 9", "G10 L2 P10 X5" END, 1,
            "G10 L2 wants the number of a work offset, P1 to P9."),
    REFUSED("4 G53 wants G90", R "G53 G1 A5" END, 2, "G53 wants G90, G0 or G1, and an axis word to move to."),
    READS("4 G53 goes to machine coordinates", "G21 G90 G94 F36000 G10 L2 P1 A180\nG53 G1 A360" END, 1),
    READS("4 a work offset shifts absolute places", "G21 G90 G94 F36000\nG10 L2 P2 A180\nG55 G1 A180" END, 1),
    READS("4 the nine work offsets are apart", "G21 G90 G94 F36000\nG10 L2 P9 A180\nG59.2 G1 A180\nG59.3 A180" END, 1),
    READS("4 G92 makes the present point read as given", "G21 G90 G94 F36000\nG1 A360\nG92 A0\nG1 A360" END, 2),
    READS("4 G92.1 cancels and zeroes", "G21 G90 G94 F36000\nG1 A360\nG92 A0\nG92.1\nG92.3\nG1 A720" END, 2),
    READS("4 G92.2 cancels and keeps, G92.3 restores",
          "G21 G90 G94 F36000\nG1 A360\nG92 A0\nG92.2\nG1 A720\nG92.3\nA720" END, 3),
    REFUSED("4 G92 wants an axis word", "G92" END, 1, "G92 wants an axis word."),
    REFUSED("4 G28 wants an axis word", "G28" END, 1, "G28 and G30 want an axis word."),
    READS("4 G28 goes over the point to the home of 5161...", "#5164=720\nG21 G90 G28 A360" END, 2),
    READS("4 M3 with S0 is legal and does not turn", "G21 G91 G94 M3 S0\nG4 P5" END, 0),

    /* 5 feed modes */
    READS("5 G93: F is one over the minutes, for each block", "G21 G91 G93\nG1 A3600 F6\nG1 A3600 F6" END, 20),
    REFUSED("5 G93 wants F on every block", "G21 G91 G93\nG1 A360 F6\nA360" END, 3,
            "Under G93 every G1 block needs its own F, and this one has none."),
    READS("5 G93 leaves G0 alone", "G21 G91 G93\nG0 A360" END, 1),
    REFUSED("5 a change of feed mode clears F", "G21 G91 G94 F100\nG93\nG94\nG1 X1" END, 4,
            "G1 moves without a feed F."),
    REFUSED("5 the same feed mode again clears F", "G21 G91 G94 F100\nG94\nG1 X1" END, 3, "G1 moves without a feed F."),
    LATHE("5 G95: F counts per turn", L "G95 G1 Z10 F0.5\nM5" END, NAN),
    LATHE_REFUSED("5 G95 wants a turning spindle", "G21 G90 G95\nG1 Z10 F0.5" END, 2,
                  "A feed per turn needs the spindle, and it does not turn; M3 or M4 must come first."),

    /* 6 rotary axes */
    READS("6 degrees do not follow G20", "G20 G91 G94 F36000\nG1 A360" END, 1),
    READS("6 angles are not wrapped", "G21 G90 G94 F36000\nG1 A720" END, 2),
    READS("6 1234567.891 degrees are 3429.4 turns", "G21 G90 G94 F36000\nG1 A1234567.891" END, 1234567.891 / 360),
    REFUSED("6 winding back is refused", R "G1 A360\nG1 A-360" END, 3,
            "The coil turns the other way here and unwinds; replay cannot count on."),
    READS("6 B winds as well as A", R "G1 B360" END, 1),

    /* 7.1 threads */
    LATHE_REFUSED("7.1 G33 wants K", L "G33 Z10" END, 4,
                  "G33 stands without its pitch K, which every such block needs."),
    LATHE_REFUSED("7.1 G33 wants K again", L "G33 Z10 K1\nZ0" END, 5,
                  "G33 stands without its pitch K, which every such block needs."),
    LATHE_REFUSED("7.1 K is above zero", L "G33 Z10 K0" END, 4, "The pitch of G33 is not above zero."),
    LATHE_REFUSED("7.1 K is not negative", L "G33 Z10 K-1" END, 4, "The pitch of G33 is not above zero."),
    LATHE_REFUSED("7.1 G33 wants a turning spindle", "G21 G90\nG33 Z10 K1" END, 2,
                  "G33 needs the spindle, and it does not turn; M3 or M4 must come first."),
    LATHE_REFUSED("7.1 G33 wants a spindle with a speed", "G21 G90 M3 S0\nG33 Z10 K1" END, 2,
                  "G33 needs the spindle, and its speed S is zero."),
    LATHE_REFUSED("4 G33 under G96 is refused", "G21 G90 G96 S10 M3\nG33 Z10 K1" END, 2,
                  "G33 under G96, whose spindle speed follows X; winding wants G97."),
    LATHE_REFUSED("7.1 G33 moves no rotary axis", L "G33 Z10 A5 K1" END, 4, "G33 moves a rotary axis."),
    LATHE_REFUSED("7.1 G33 wants an axis word", L "G33 K1" END, 4, "G33 stands without an axis word."),

    /* 9 diameters */
    LATHE("9 G7 and G8 are read", "G21 G90 G7\nG0 X20\nG8\nX10\nM2\n", 0),

    /* 11 the lathe families */
    { "11 G32 with F is a thread", CW_G32_F, "G21 G97 S60 G99\nM3\nG32 Z-10. F0.5\nM5\nM30\n", NAN, 0, NULL, false },
    { "11 G32: W steps", CW_G32_F, "G21 G97 S60 G99\nM3\nG32 W-10. F0.5\nM5\nM30\n", NAN, 0, NULL, false },
    { "11 G32: F is modal", CW_G32_F, "G21 G97 S60\nM3\nG32 Z-10. F0.5\nZ0\nM5\nM30\n", NAN, 0, NULL, false },
    { "11 G32 wants F", CW_G32_F, "G21 G97 S60\nM3\nG32 Z-10.\nM30\n", NAN, 3, "G32 stands without its lead F.",
      false },
    { "11 G32 wants a turning spindle", CW_G32_F, "G21\nG32 Z-10. F1.\nM30\n", NAN, 2,
      "G32 needs the spindle, and it does not turn; M3 or M4 must come first.", false },
    { "11 G33 is not used in the G32 family", CW_G32_F, "G33 Z1. F1.\nM30\n", NAN, 1,
      "G33 is not used in this lathe family, which threads with G32; a replay that skipped it would count wrong turns.",
      false },
    { "11 G90 is a turning cycle there", CW_G32_F, "G90 Z1.\nM30\n", NAN, 1,
      "G90 is a turning cycle in this lathe family; steps are written with U and W; a replay that skipped it would "
      "count wrong turns.", false },
    { "11 G92 is a threading cycle there", CW_G32_F, "G92 Z1. F1.\nM30\n", NAN, 1,
      "G92 is a threading cycle in this lathe family; a replay that skipped it would count wrong turns.", false },
    { "11 G94 is a facing cycle there", CW_G99, "G94 Z1. F1.\nM30\n", NAN, 1,
      "G94 is a facing cycle in this lathe family; feed per minute is G98; a replay that skipped it would count wrong "
      "turns.", false },
    { "11 G76 is refused", CW_G32_F, "G76 Z1.\nM30\n", NAN, 1,
      "G76 is a threading cycle of several passes; a replay that skipped it would count wrong turns.", false },
    { "11 K is no word there", CW_G32_F, "G21\nG32 Z1. K1.\nM30\n", NAN, 2,
      "K is not a word of the lathe family that threads with G32.", false },
    { "11 Z and W on one line", CW_G32_F, "G21\nG0 Z1. W1.\nM30\n", NAN, 2, "Z and its step W stand on one line.",
      false },
    { "11 G1 wants G98 or G99 before", CW_G99, "G21\nG1 Z1. F1.\nM30\n", NAN, 2,
      "G1 moves before the program has said whether F counts per minute or per turn.", false },
    { "11 a position without a point is warned of", CW_G99, "G21\nG0 Z-10\nM30\n", NAN, 0,
      "A position without a decimal point: some lathes read it as thousandths.", false },
    { "11 a semicolon may end a block there", CW_G99, "G21;\nG0 Z1.;\nM30;\n", 0, 0, NULL, false },
    { "11 a semicolon is no comment there", CW_G99, "G21 ; millimetres\nM30\n", NAN, 1,
      "In the lathe family that threads with G32 a semicolon ends the block and is no comment.", false },
    { "11 parameters are not read there", CW_G99, "G21\nG0 Z#1\nM30\n", NAN, 2,
      "Parameters and expressions are read in RS-274/NGC only.", false },
    { "11 G33 with F is a thread in the other arrangement", CW_G33_F,
      "G21 G90 G95 G97 S60\nM3\nG33 Z-10. F0.5\nM5\nM30\n", NAN, 0, NULL, false },
    { "11 G91 steps in the other arrangement", CW_G33_F, "G21 G91 G95 G97 S60\nM3\nG33 Z-10. F0.5\nM5\nM30\n", NAN, 0,
      NULL, false },
    { "11 G32 is not used in the other arrangement", CW_G33_F, "G32 Z1. F1.\nM30\n", NAN, 1,
      "G32 is not used in this lathe family, which threads with G33; a replay that skipped it would count wrong turns.",
      false },
    WARNED("11 G99 is no feed mode in RS-274/NGC", CW_G33_K, "G21 G99" END,
           "G98 and G99 are no feed modes in RS-274/NGC; feed per turn is G95."),
    WARNED("11 a move before G20 or G21 is warned of", CW_G33_K, "G90 G0 Z1" END,
           "The program moves before G20 or G21; read as millimetres, as the machine is set up."),
};

enum { ROWS = sizeof rows / sizeof rows[0] };

static cw_replay *play(const row *at)
{
    cw_machine machine;
    cw_replay_request request = { 0 };
    cw_replay *replay = NULL;
    cw_error error;

    cw_machine_init(&machine);
    machine.code = at->code;
    machine.kind = at->code == CW_ROTARY_A ? CW_ROTARY_WINDER :
                   at->code == CW_G95 || at->code == CW_G99 ? CW_LATHE_FEED : CW_LATHE_THREAD;
    machine.rapid_m_s = 100;
    request.machine = &machine;
    request.block_delete = at->deletes;
    assert_int_equal(cw_replay_text(&request, at->program, strlen(at->program), &replay, &error), CW_OK);
    return replay;
}

static bool among(const cw_errors *remarks, const char *text)
{
    for (size_t i = 0; i < remarks->count; i++)
        if (strcmp(remarks->items[i].text, text) == 0)
            return true;
    return false;
}

static void program_gives_what_it_must(void **state)
{
    const row *at = *state;
    cw_replay *replay = play(at);

    if (at->line > 0) {
        assert_false(replay->ok);
        assert_true(replay->errors.count > 0);
        assert_string_equal(replay->errors.items[0].text, at->text);
        assert_int_equal(replay->errors.items[0].line, at->line);
    } else {
        if (replay->errors.count > 0)
            fail_msg("line %d: %s", replay->errors.items[0].line, replay->errors.items[0].text);
        assert_true(replay->ok);
        assert_true(at->text == NULL || among(&replay->warnings, at->text));
    }
    if (!isnan(at->turns) && fabs(replay->turns - at->turns) > 1e-9 * fmax(1, at->turns))
        fail_msg("%.12g turns, not %.12g", replay->turns, at->turns);
    cw_replay_destroy(&replay);
}

int main(void)
{
    static struct CMUnitTest tests[ROWS];

    for (size_t i = 0; i < ROWS; i++)
        tests[i] = (struct CMUnitTest){ rows[i].title, program_gives_what_it_must, NULL, NULL,
                                        (void *)(uintptr_t)&rows[i] };
    return _cmocka_run_group_tests("reader", tests, ROWS, NULL, NULL);
}
