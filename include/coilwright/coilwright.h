/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Coilwright's library, all rooms.
 *
 * Conventions, once for all headers:
 *
 * - Numbers are doubles in SI; a name ends in its unit (length_m, hot_spot_c, speed_rpm). Units exist only in `quantity`.
 * - A call that can fail returns a cw_status and takes `cw_error *error` last; NULL is welcome there. On failure the
 *   outputs are left alone, or set to NULL where they are pointers to new objects.
 * - Arguments stand as: the subject, inputs, outputs, error. Inputs are `const` and stay the caller's.
 * - `cw_room_create` and `cw_room_destroy(&x)` come in pairs; destroy clears the pointer and welcomes NULL.
 * - A stage is a pure function: no printing, no files, no globals; the same input gives the same bytes.
 * - "No" is a result (`fits == false`), never a status.
 * - A doubt is the half-width that holds 95 % of the cases; p05, p50 and p95 are quantiles.
 * - CW_API functions may be called from several threads on different objects. */
#ifndef COILWRIGHT_H
#define COILWRIGHT_H

#include "coilwright/air.h"
#include "coilwright/base.h"
#include "coilwright/book.h"
#include "coilwright/choose.h"
#include "coilwright/circuit.h"
#include "coilwright/draw.h"
#include "coilwright/drafting.h"
#include "coilwright/evidence.h"
#include "coilwright/field.h"
#include "coilwright/flux_figure.h"
#include "coilwright/heat_figure.h"
#include "coilwright/former.h"
#include "coilwright/heat_figure.h"
#include "coilwright/former_drawing.h"
#include "coilwright/iron.h"
#include "coilwright/files.h"
#include "coilwright/instrument.h"
#include "coilwright/heat.h"
#include "coilwright/job.h"
#include "coilwright/mesh.h"
#include "coilwright/nc.h"
#include "coilwright/process.h"
#include "coilwright/proof.h"
#include "coilwright/quantity.h"
#include "coilwright/server.h"
#include "coilwright/sheet.h"
#include "coilwright/switch_figure.h"
#include "coilwright/solids.h"
#include "coilwright/winding.h"
#include "coilwright/wire.h"
#include "coilwright/work.h"

#endif
