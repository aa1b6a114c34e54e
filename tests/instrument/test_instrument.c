/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings from a meter that answers well, slowly, in pieces, wrongly and not at all. The forms of numbers and errors
 * are those of SCPI-1999 as meter manuals show them. */
#define _XOPEN_SOURCE 700 /* posix_openpt */
#include "coilwright/instrument.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <termios.h>

#include <cmocka.h>

#include "tests/instrument/meter.h"
#include "tests/near.h"

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static cw_instrument *connect_to(const meter *meter)
{
    cw_instrument *instrument;
    cw_error error;

    if (cw_instrument_open(meter->address, NAN, &instrument, &error) != CW_OK)
        fail_msg("%s", error.text);
    return instrument;
}

static void end(cw_instrument **instrument, meter *meter)
{
    cw_instrument_close(instrument);
    meter_stop(meter);
}

static cw_measure_plan quick_plan(cw_measure_kind kind)
{
    cw_measure_plan plan;

    cw_measure_plan_defaults(&plan, kind);
    plan.pause_s = 0.001;
    plan.answer_s = 0.5;
    plan.within_s = 5;
    return plan;
}

/* ---- a meter as it should be ------------------------------------------------------------------------------- */

static void good(meter *meter, const char *question)
{
    if (strcmp(question, "*IDN?") == 0)
        meter_say(meter, "ACME, M-4W ,0,1.02-3\n");
    else if (strcmp(question, "MEAS:FRES?") == 0)
        meter_say(meter, "+8.42137000E+01\n");
    else if (strcmp(question, "MEAS:RES?") == 0)
        meter_say(meter, "  84.5 ohm\r\n");
    else if (strcmp(question, "MEAS:TEMP?") == 0)
        meter_say(meter, "2.35E+01\n");
    else if (strcmp(question, "SYST:ERR?") == 0)
        meter_say(meter, "-113,\"Undefined header\"\n");
}

static void meter__tells_who_it_is(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_instrument_identity identity;

    (void)state;
    meter_start(&meter, good);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_identify(instrument, NAN, &identity, NULL), CW_OK);
    assert_string_equal(identity.maker, "ACME");
    assert_string_equal(identity.model, "M-4W");
    assert_string_equal(identity.serial, "0");
    assert_string_equal(identity.firmware, "1.02-3");
    end(&instrument, &meter);
}

static void meter__reads_resistance_and_temperature(void **state)
{
    static const struct { cw_measure_kind kind; double value; } cases[] = {
        { CW_MEASURE_FOUR_WIRE, 84.2137 }, { CW_MEASURE_TWO_WIRE, 84.5 }, { CW_MEASURE_TEMPERATURE, 23.5 } };
    meter meter;
    cw_instrument *instrument;

    (void)state;
    meter_start(&meter, good);
    instrument = connect_to(&meter);
    for (size_t i = 0; i < 3; i++) {
        const cw_measure_plan plan = quick_plan(cases[i].kind);
        cw_measured measured;
        cw_error error;

        if (cw_instrument_measure(instrument, &plan, &measured, &error) != CW_OK)
            fail_msg("%s", error.text);
        assert_near(measured.value, cases[i].value, 1e-9);
        assert_int_equal(measured.taken, 3);
    }
    end(&instrument, &meter);
}

static void echo_range(meter *meter, const char *question)
{
    meter_say(meter, strcmp(question, "MEAS:FRES? 200") == 0 ? "84.2\n" : "1\n");
}

static void meter__is_told_the_range(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_measured measured;

    (void)state;
    plan.range = 199.5;
    meter_start(&meter, echo_range);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, NULL), CW_OK);
    assert_near(measured.value, 84.2, 1e-12);
    assert_string_equal(measured.question, "MEAS:FRES? 200");
    end(&instrument, &meter);
}

/* ---- slow, in pieces --------------------------------------------------------------------------------------- */

static void in_pieces(meter *meter, const char *question)
{
    static const char answer[] = "+8.42137000E+01\n";

    (void)question;
    for (size_t i = 0; i < sizeof answer - 1; i++) {
        meter_say_bytes(meter, answer + i, 1);
        meter_sleep(0.002);
    }
}

static void answer__in_single_bytes_is_put_together(void **state)
{
    meter meter;
    cw_instrument *instrument;
    const cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_measured measured;

    (void)state;
    meter_start(&meter, in_pieces);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, NULL), CW_OK);
    assert_near(measured.value, 84.2137, 1e-9);
    end(&instrument, &meter);
}

static void drip(meter *meter, const char *question)
{
    if (strncmp(question, "MEAS", 4) != 0)
        return;
    for (int i = 0; i < 40; i++) {
        meter_say(meter, "1");
        meter_sleep(0.02);
    }
}

static void answer__that_drips_for_ever_is_given_up_in_time(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_text answer = { 0 };
    cw_error error;
    double start;

    (void)state;
    meter_start(&meter, drip);
    instrument = connect_to(&meter);
    start = now_s();
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:RES?", 0.2, &answer, &error), CW_FAILED);
    assert_true(now_s() - start < 0.2 + 2.0 + 0.5); /* its own time and that of the error queue */
    assert_null(answer.data);
    end(&instrument, &meter);
}

static void slow_once(meter *meter, const char *question)
{
    if (strncmp(question, "MEAS", 4) == 0) {
        if (meter->readings == 1)
            meter_sleep(0.4);
        meter_say(meter, meter->readings == 1 ? "1111\n" : "2222\n");
    } else if (strcmp(question, "SYST:ERR?") == 0)
        meter_say(meter, "+0,\"No error\"\n");
    else
        meter_say(meter, "ACME,SLOW,7,1\n");
}

/* The late answer to the first question must not be taken for the answer to the second. */
static void answer__that_comes_late_is_not_taken_for_the_next(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_text answer = { 0 };
    cw_error error;

    (void)state;
    meter_start(&meter, slow_once);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:RES?", 0.1, &answer, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "has not answered"));
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:RES?", 1, &answer, &error), CW_OK);
    assert_string_equal(answer.data, "2222");
    cw_text_clear(&answer);
    end(&instrument, &meter);
}

/* ---- not at all -------------------------------------------------------------------------------------------- */

static void silent(meter *meter, const char *question)
{
    (void)meter;
    (void)question;
}

static void meter__that_is_silent_is_said_to_be(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_measured measured = { .value = 4711 };
    cw_text answer = { 0 };
    cw_error error;
    double start = now_s();

    (void)state;
    plan.answer_s = 0.1;
    meter_start(&meter, silent);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "has not answered 'MEAS:FRES?' within 0.1 s"));
    assert_true(measured.value == 4711);
    assert_true(now_s() - start < 3);
    assert_int_equal(cw_instrument_ask(instrument, "*IDN?", 0.1, &answer, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "any more"));
    end(&instrument, &meter);
}

/* A question that a meter does not know has no answer, only an entry in the queue: the message names it. */
static void meter__that_does_not_know_the_question_says_so(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_text answer = { 0 };
    cw_error error;

    (void)state;
    meter_start(&meter, good);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:IND?", 0.1, &answer, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "-113,\"Undefined header\""));
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:RES?", 1, &answer, &error), CW_OK); /* and goes on */
    cw_text_clear(&answer);
    end(&instrument, &meter);
}

static void hang_up(meter *meter, const char *question)
{
    (void)question;
    shutdown(meter->line, SHUT_RDWR);
}

static void meter__that_hangs_up_is_noticed_at_once(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_text answer = { 0 };
    cw_error error;
    const double start = now_s();

    (void)state;
    meter_start(&meter, hang_up);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_ask(instrument, "*IDN?", 5, &answer, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "closed the connection"));
    assert_true(now_s() - start < 1);
    assert_int_equal(cw_instrument_ask(instrument, "*IDN?", 1, &answer, &error), CW_FAILED);
    end(&instrument, &meter);
}

static void port__that_nobody_listens_on_is_refused(void **state)
{
    struct sockaddr_in where = { .sin_family = AF_INET, .sin_addr = { htonl(INADDR_LOOPBACK) } };
    socklen_t size = sizeof where;
    const int held = socket(AF_INET, SOCK_STREAM, 0); /* bound, not listening: nobody else gets it meanwhile */
    cw_instrument *instrument = (cw_instrument *)state;
    char address[64];
    cw_error error;

    assert_int_equal(bind(held, (struct sockaddr *)&where, size), 0);
    assert_int_equal(getsockname(held, (struct sockaddr *)&where, &size), 0);
    snprintf(address, sizeof address, "tcp:127.0.0.1:%d", (int)ntohs(where.sin_port));
    assert_int_equal(cw_instrument_open(address, NAN, &instrument, &error), CW_FAILED);
    assert_null(instrument);
    assert_non_null(strstr(error.text, "cannot be reached"));
    close(held);
}

/* ---- wrongly ----------------------------------------------------------------------------------------------- */

static const char *wrong_answer;

static void wrong(meter *meter, const char *question)
{
    if (strncmp(question, "MEAS", 4) == 0)
        meter_say(meter, wrong_answer);
    else
        meter_say(meter, "0,\"No error\"\n");
}

static void answer__that_is_no_reading_is_refused(void **state)
{
    static const struct { const char *answer; cw_status status; const char *word; } cases[] = {
        { "+9.90000000E+37\n", CW_BAD_INPUT, "over-range" }, { "9.9E37\n", CW_BAD_INPUT, "over-range" },
        { "-9.9E+37\n", CW_BAD_INPUT, "over-range" },        { "9.91E37\n", CW_BAD_INPUT, "over-range" },
        { "OL\n", CW_BAD_INPUT, "over-range" },              { "+1.0E+500\n", CW_BAD_INPUT, "over-range" },
        { "-3.2E-02\n", CW_BAD_INPUT, "below zero" },        { "hello\n", CW_FAILED, "no number" },
        { "84.2 kg\n", CW_FAILED, "no number" },             { "8,4.2e\n", CW_OK, "" },
        { "84.2E\n", CW_FAILED, "no number" },               { "0x54\n", CW_FAILED, "no number" },
        { "\x81\x9f\x03\n", CW_FAILED, "no text" },          { "NAN\n", CW_FAILED, "no number" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        meter meter;
        cw_instrument *instrument;
        const cw_measure_plan plan = quick_plan(CW_MEASURE_TWO_WIRE);
        cw_measured measured = { .value = 4711 };
        cw_error error = { .text = "" };

        wrong_answer = cases[i].answer;
        meter_start(&meter, wrong);
        instrument = connect_to(&meter);
        if (cw_instrument_measure(instrument, &plan, &measured, &error) != cases[i].status)
            fail_msg("'%s': %s", cases[i].answer, error.text);
        if (strstr(error.text, cases[i].word) == NULL)
            fail_msg("'%s' is said to be: %s", cases[i].answer, error.text);
        assert_true(cases[i].status == CW_OK || measured.value == 4711);
        end(&instrument, &meter);
    }
}

static void flood(meter *meter, const char *question)
{
    char block[1024];

    (void)question;
    memset(block, '7', sizeof block);
    for (int i = 0; i < 64; i++)
        meter_say_bytes(meter, block, sizeof block);
}

static void answer__without_end_is_refused(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_text answer = { 0 };
    cw_error error;

    (void)state;
    meter_start(&meter, flood);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_ask(instrument, "MEAS:RES?", 2, &answer, &error), CW_FAILED);
    assert_null(answer.data);
    end(&instrument, &meter);
}

/* ---- settling ---------------------------------------------------------------------------------------------- */

/* The current of an ohmmeter settles with L/R: what it shows falls as 84.2 + 30 e^-n. */
static void settling(meter *meter, const char *question)
{
    char text[32];

    (void)question;
    snprintf(text, sizeof text, "%.6e\n", 84.2 + 30 * exp(-meter->readings));
    meter_say(meter, text);
}

/* Three alike within 0.1 %: 30 (e^-(n-2) - e^-n) <= 0.084 from n = 8 on. */
static void readings__are_taken_until_they_stand_still(void **state)
{
    meter meter;
    cw_instrument *instrument;
    const cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_measured measured;

    (void)state;
    meter_start(&meter, settling);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, NULL), CW_OK);
    assert_int_equal(measured.taken, 8);
    assert_near(measured.value, 84.2 + 30 * exp(-8), 1e-4);
    assert_near(measured.spread, 30 * (exp(-6) - exp(-8)), 2e-4);
    end(&instrument, &meter);
}

static void jumping(meter *meter, const char *question)
{
    (void)question;
    meter_say(meter, meter->readings % 2 == 0 ? "84.2\n" : "91.0\n");
}

static void readings__that_jump_are_given_up(void **state)
{
    meter meter;
    cw_instrument *instrument;
    cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_measured measured;
    cw_error error;
    const double start = now_s();

    (void)state;
    plan.within_s = 0.3;
    meter_start(&meter, jumping);
    instrument = connect_to(&meter);
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, &error), CW_FAILED);
    assert_non_null(strstr(error.text, "not settled"));
    assert_true(now_s() - start < 1);
    end(&instrument, &meter);
}

/* ---- a serial line ----------------------------------------------------------------------------------------- */

/* Sends back what it is sent, as some serial meters do, and ends its lines with CR LF. */
static void serial_meter(meter *meter, const char *question)
{
    meter_say(meter, question);
    meter_say(meter, "\r\n");
    meter_say(meter, strcmp(question, "*IDN?") == 0 ? "ACME,SERIAL,12,3\r\n" : "+8.421E+01\r\n");
}

static void line__serial_meter_is_read_through_its_echo(void **state)
{
    meter meter = { .answers = serial_meter, .listener = -1 };
    cw_instrument *instrument;
    const cw_measure_plan plan = quick_plan(CW_MEASURE_FOUR_WIRE);
    cw_instrument_identity identity;
    cw_measured measured;
    struct termios raw;
    int slave;

    (void)state;
    meter.line = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(meter.line >= 0 && grantpt(meter.line) == 0 && unlockpt(meter.line) == 0);
    snprintf(meter.address, sizeof meter.address, "serial:%s:19200:7E2", ptsname(meter.line));
    slave = open(ptsname(meter.line), O_RDWR | O_NOCTTY); /* keeps the line up until the end */
    instrument = connect_to(&meter);
    assert_int_equal(tcgetattr(slave, &raw), 0);
    assert_int_equal(cfgetospeed(&raw), B19200);
    assert_true((raw.c_lflag & (ICANON | ECHO)) == 0);
    assert_int_equal(pthread_create(&meter.thread, NULL, meter_run, &meter), 0);
    assert_int_equal(cw_instrument_identify(instrument, NAN, &identity, NULL), CW_OK);
    assert_string_equal(identity.model, "SERIAL");
    assert_int_equal(cw_instrument_measure(instrument, &plan, &measured, NULL), CW_OK);
    assert_near(measured.value, 84.21, 1e-9);
    cw_instrument_close(&instrument);
    close(slave);
    pthread_join(meter.thread, NULL);
    close(meter.line);
}

/* ---- addresses and numbers --------------------------------------------------------------------------------- */

static void address__bad_ones_are_refused_with_an_example(void **state)
{
    static const char *const cases[] = {
        "", "usb:1", "tcp:", "tcp::5025", "tcp:host:0", "tcp:host:99999", "tcp:host:5025x", "tcp:[::1", "serial:",
        "serial:/dev/null:9601", "serial:/dev/null:fast", "serial:/dev/null:9600:9N1", "serial:/dev/null",
        "serial:/no/such/line",
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cw_instrument *instrument;
        cw_error error;

        if (cw_instrument_open(cases[i], NAN, &instrument, &error) != CW_BAD_INPUT)
            fail_msg("'%s' is taken", cases[i]);
        assert_null(instrument);
        assert_true(strlen(error.text) > 20);
    }
}

/* NR1, NR2, NR3 of IEEE 488.2, and what other meters write. */
static void number__every_form_is_read(void **state)
{
    static const struct { const char *text; double value;
    } cases[] = {
        { "84", 84 },
        { "-7", -7 },
        { "+84.2137", 84.2137 },
        { ".5", 0.5 },
        { "5.", 5 },
        { "+1.23456789E+02", 123.456789 },
        { " 1.5e-3 ", 1.5e-3 },
        { "84.21,0.012", 84.21 },
        { "1.2 kOhm", 1200 },
        { "2.5 MOHM", 2.5e6 },
        { "23.4 degC", 23.4 },
        { "00000000000000000000000012", 12 },
        { "1.00000000000000000000000000001", 1 },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = NAN;
        bool over_range = true;

        if (!cw_instrument_number(cases[i].text, strlen(cases[i].text), &value, &over_range))
            fail_msg("'%s' is not read", cases[i].text);
        assert_near(value, cases[i].value, 1e-14 * fabs(cases[i].value));
        assert_false(over_range);
    }
}

#define T(test) cmocka_unit_test(test)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(meter__tells_who_it_is),
        T(meter__reads_resistance_and_temperature),
        T(meter__is_told_the_range),
        T(answer__in_single_bytes_is_put_together),
        T(answer__that_drips_for_ever_is_given_up_in_time),
        T(answer__that_comes_late_is_not_taken_for_the_next),
        T(meter__that_is_silent_is_said_to_be),
        T(meter__that_does_not_know_the_question_says_so),
        T(meter__that_hangs_up_is_noticed_at_once),
        T(port__that_nobody_listens_on_is_refused),
        T(answer__that_is_no_reading_is_refused),
        T(answer__without_end_is_refused),
        T(readings__are_taken_until_they_stand_still),
        T(readings__that_jump_are_given_up),
        T(line__serial_meter_is_read_through_its_echo),
        T(address__bad_ones_are_refused_with_an_example),
        T(number__every_form_is_read),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
