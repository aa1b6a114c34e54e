/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CW_CHOOSE_INTERNAL_H
#define CW_CHOOSE_INTERNAL_H

#include "coilwright/choose.h"

/* What the turns of a wire are first of all to meet. */
typedef enum cw_choose__aim { CW_CHOOSE__BY_RESISTANCE, CW_CHOOSE__BY_TURNS, CW_CHOOSE__BY_ROOM } cw_choose__aim;

/* Points lost. A missed wish costs more than all preferences together, a wire that does not fit is not listed at all;
 * distances cost 100 a factor of e, that is, one point a per cent. Judgement, see docs/choose.md, "The preference". */
#define CW_CHOOSE__POINTS_FITS 1000.0
#define CW_CHOOSE__POINTS_HANDLED 600.0
#define CW_CHOOSE__POINTS_COOL 500.0
#define CW_CHOOSE__POINTS_RESISTANCE 300.0
#define CW_CHOOSE__POINTS_AMPERE_TURNS 300.0
#define CW_CHOOSE__POINTS_TO_BUY 30.0
#define CW_CHOOSE__POINTS_SHORT 20.0
#define CW_CHOOSE__PER_E 100.0      /* resistance, turns, ampere-turns */
#define CW_CHOOSE__PER_E_COOL 400.0 /* turns that would be cool enough */
#define CW_CHOOSE__PER_E_FILL 50.0  /* conductor in the window, where no ampere-turns are known */

#define CW_CHOOSE__SURE 0.9         /* probability from which on a winding is said to fit */
#define CW_CHOOSE__LEAST_SHARE 0.95 /* of the original's ampere-turns that "same" asks for */

/* Rise over the one allowed up to which a coil is let pass where the original's estimate was as high: a bare coil's
 * estimate may be twice what the coil has in its iron, one by the magnet's own section a tenth. docs/choose.md. */
#define CW_CHOOSE__LENIENT_BARE 2.0
#define CW_CHOOSE__LENIENT_IN_MAGNET 1.1

/* Sheet between two windings of two sizes: the upper lies flat, and the joint under it is covered. 0.03 to 0.1 mm
 * [winding: §7, common practice]. */
#define CW_CHOOSE__BETWEEN_M 1e-4

/* sqrt(2) pi, the 4.44 of V = 4.44 f N B A for a sine. */
#define CW_CHOOSE__SINE 4.4428829381583661

/* Peak flux density above which iron on ac is said to saturate: sheet steel bends at 1.5 to 1.6 T. Common practice. */
#define CW_CHOOSE__MOST_FLUX_T 1.5

/* Rise of a coil by its watts, see heat.c. */
typedef struct cw_choose__heat {
    bool known;         /* the supply is */
    bool in_magnet;     /* by the request's cooling */
    double voltage_v;
    double ambient_c;
    double mean_k_per_w; /* of the winding's mean, duty included */
    double hot_share;    /* rise of the hottest place over that of the mean */
} cw_choose__heat;

/* The request made ready: defaults in, wishes as numbers. Of several sections everything here is that of one: its room,
 * its share of volts, ohms, turns and ampere-turns, and the kelvin that a watt in each of them gives. */
typedef struct cw_choose__problem {
    const cw_choice_request *request;
    const cw_wire_catalogue *catalogue;
    int sections;
    cw_lay_plan plan;             /* window and factors; wire, in_hand, turns still open */
    bool ac;
    cw_choose__aim aim;
    double resistance, tolerance; /* wanted at 20 °C; NAN none */
    double turns;                 /* wanted, aim BY_TURNS; else NAN */
    double voltage_v;             /* across one coil; NAN unknown */
    double per_volt_factor;       /* the new voltage over the old */
    cw_choose__heat heat;
    double class_c;               /* wanted or usual class */
    double system_c;              /* lowest class of the parts that are not wire; INFINITY none known */
    const char *system_name;      /* which part that is; NULL none */
    double original_hot_c, original_power_w;
    double original_at;           /* ampere-turns, hot; per volt and cold where no voltage is known; NAN unknown */
    double original_turns;
    double target_at, least_at;   /* same measure; NAN where there is no such wish */
    bool at_least;                /* more than the target costs nothing */
    cw_size_system home;          /* system of sizes that this shop deals in */
} cw_choose__problem;

/* One wire in one number of strands. */
typedef struct cw_choose__case {
    cw_wire wire;
    int in_hand;
    double fixed;        /* points lost whatever the turns */
    double shelf_m;      /* of this wire on all spools */
    double limit_c;
    bool fine;           /* finer than can be handled */
    double bound;        /* no number of turns loses fewer points */
} cw_choose__case;

/* The layers of a case, laid once a little deeper than the window: lengths of any number of turns from them. */
typedef struct cw_choose__ladder {
    cw_winding *winding;
    long most;           /* turns laid */
} cw_choose__ladder;

cw_status cw_choose__prepare(const cw_choice_request *request, const cw_wire_catalogue *catalogue,
                             cw_choose__problem *problem, cw_error *error);

/* The same problem seen as the whole coil: what words tell. */
void cw_choose__whole(const cw_choose__problem *section, cw_choose__problem *whole);

/* ---- heat.c */
void cw_choose__heat_make(const cw_window *window, const cw_supply *supply, const cw_choice_cooling *cooling,
                          double coil_voltage_v, cw_choose__heat *heat);
/* Rise of the winding's mean over ambient at that resistance of 20 °C and voltage. */
double cw_choose__mean_rise(const cw_choose__heat *heat, const cw_conductor *conductor, double resistance_20c_ohm,
                            double voltage_v);

/* ---- ladder.c */
cw_status cw_choose__ladder_make(const cw_lay_plan *plan, double depth_share, cw_choose__ladder *ladder,
                                 cw_error *error);
void cw_choose__ladder_clear(cw_choose__ladder *ladder);
double cw_choose__ladder_length(const cw_choose__ladder *ladder, long turns);
/* Turns, fractions of one included, that have this length; INFINITY beyond the ladder. */
double cw_choose__ladder_turns(const cw_choose__ladder *ladder, double length_m);

/* ---- shelf.c */
double cw_choose__shelf_length(const cw_choose__problem *problem, const cw_wire *wire);
bool cw_choose__spool_is(const cw_spool *spool, const cw_wire *wire);
double cw_choose__spool_length(const cw_spool *spool, const cw_wire *wire);
/* Wire to have ready for in_hand strands of that length together; of all sections, for the length in one of them. */
double cw_choose__with_margin(double length_m, int in_hand);
double cw_choose__all_with_margin(const cw_choose__problem *problem, double length_m, int in_hand);
void cw_choose__shelf_fill(const cw_choose__problem *problem, cw_choice_option *option);
double cw_choose__shelf_class(const cw_choose__problem *problem, const cw_wire *wire);

/* ---- score.c */
double cw_choose__ampere_turns(const cw_choose__problem *problem, const cw_wire *wire, long turns,
                               double resistance_20c_ohm);
double cw_choose__hot_spot(const cw_choose__problem *problem, const cw_wire *wire, double resistance_20c_ohm);
/* What the shelf counts: 1, more where it is preferred, nothing where only likeness counts. */
double cw_choose__shelf_weight(const cw_choose__problem *problem);
/* Hot spot up to which a coil that may have limit_c is cool enough. */
double cw_choose__cool_c(const cw_choose__problem *problem, double limit_c);
double cw_choose__fixed_points(const cw_choose__problem *problem, const cw_choose__case *one);
/* Points lost by a number of turns; safe_turns is the greatest that surely fits. */
double cw_choose__points(const cw_choose__problem *problem, const cw_choose__case *one, long turns, long safe_turns,
                         double length_m, unsigned *missed);
/* The same without any step and without what only safe turns tell: never more than cw_choose__points. */
double cw_choose__distance_points(const cw_choose__problem *problem, const cw_choose__case *one, long turns,
                                  double length_m);

/* ---- search.c */
/* Whether turns or layers are set. */
bool cw_choose__turns_set(const cw_choose__problem *problem);
/* Greatest number of turns that surely fits; 0 where one does not. */
long cw_choose__safe_turns(const cw_choose__problem *problem, const cw_lay_plan *plan, long most);
cw_status cw_choose__search(const cw_choose__problem *problem, cw_choice *choice, cw_error *error);
/* The best turns of a case; turns 0 where it cannot be wound. */
cw_status cw_choose__best_turns(const cw_choose__problem *problem, const cw_choose__case *one, long *turns,
                                double *points, unsigned *missed, cw_error *error);
void cw_choose__plan_of(const cw_choose__problem *problem, const cw_choose__case *one, cw_lay_plan *plan);

/* ---- probability.c */
double cw_choose__coil_resistance_probability(const cw_coil *coil, const cw_choice_doubts *doubts, double low_ohm,
                                              double high_ohm);

/* ---- series.c */
/* Adds the best windings of two sizes in series to the options, if they are asked for. */
cw_status cw_choose__add_two_sizes(const cw_choose__problem *problem, const cw_choose__case *cases, size_t count,
                                   cw_choice *choice, cw_error *error);

/* ---- room.c */
/* Fills choice->room: the case that would be wound if the window were deep enough. */
cw_status cw_choose__find_room(const cw_choose__problem *problem, const cw_choose__case *cases, size_t count,
                               cw_choice *choice, cw_error *error);

/* ---- option.c, words.c */
cw_status cw_choose__option_fill(const cw_choose__problem *problem, const cw_choose__case *one, long turns,
                                 double points, unsigned missed, cw_choice_option *option, cw_error *error);
/* Current, watts and heat of an option whose turns and resistance stand. */
void cw_choose__option_electric(const cw_choose__problem *problem, cw_choice_option *option);
void cw_choose__option_circuit(const cw_choose__problem *problem, cw_choice_option *option);
void cw_choose__option_layers(const cw_choose__problem *problem, double greatest_voltage_v, cw_choice_option *option);
/* Makes words of one that hold together: lower case, hyphens for blanks. */
void cw_choose__make_id(char *id);
void cw_choose__mark_pareto(cw_choice *choice);
/* Puts the option of that id first. */
cw_status cw_choose__pick(const char *id, cw_choice *choice, cw_error *error);
/* "two strands of 29 AWG heavy" */
void cw_choose__wires_in_words(const cw_choice_option *option, char *buffer, size_t size);
void cw_choose__reasons(const cw_choose__problem *problem, cw_choice_option *option);
cw_status cw_choose__summary(const cw_choose__problem *problem, cw_choice *choice, cw_error *error);

#endif
