/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The routes. Paths are compared whole with this table and never become file names, so that none leads elsewhere.
 * src/server/openapi.json describes the same; tests/server compares the two. */
#include "server/server_internal.h"

#include <string.h>

/* To keep the lines of the table short. */
enum { OPEN = CW_SERVER__OPEN, WRITES = CW_SERVER__WRITES, STREAMS = CW_SERVER__STREAMS };

/* path, body, rights, built-in file, its type, work. SQLite writes beside a book even where it only reads, and
 * the helper for solids into a folder of its own. */
static const cw_server__route routes[] = {
    { "/", CW_SERVER__NO_BODY, 0, "page.html", CW_SERVER__HTML, NULL },
    { "/page.js", CW_SERVER__NO_BODY, 0, "page.js", CW_SERVER__SCRIPT, NULL },
    { "/page.css", CW_SERVER__NO_BODY, OPEN, "page.css", CW_SERVER__STYLE, NULL },
    { "/icon.svg", CW_SERVER__NO_BODY, OPEN, "icon.svg", CW_SERVER__ICON, NULL },
    { "/licences.txt", CW_SERVER__NO_BODY, 0, "licences.txt", CW_SERVER__TEXT, NULL },
    { "/pair", CW_SERVER__NO_BODY, OPEN, "pair.html", CW_SERVER__HTML, NULL },
    { "/pair.js", CW_SERVER__NO_BODY, OPEN, "pair.js", CW_SERVER__SCRIPT, NULL },
    { "/api/pair", CW_SERVER__JSON_BODY, OPEN, NULL, CW_SERVER__JSON, NULL },
    { "/api/openapi.json", CW_SERVER__NO_BODY, 0, "openapi.json", CW_SERVER__JSON, NULL },
    { "/api/examples/press-brake.yaml", CW_SERVER__NO_BODY, 0, "press-brake.yaml", CW_SERVER__YAML, NULL },
    { "/api/examples/chuck-plate.yaml", CW_SERVER__NO_BODY, 0, "chuck-plate.yaml", CW_SERVER__YAML, NULL },
    { "/api/template", CW_SERVER__NO_BODY, 0, NULL, CW_SERVER__YAML, cw_server__template },
    { "/api/job", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__job },
    { "/api/identify", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__identify },
    { "/api/choose", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__choose },
    { "/api/lay", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__lay },
    { "/api/magnet", CW_SERVER__NO_BODY, 0, NULL, CW_SERVER__JSON, cw_server__magnet_keys },
    { "/api/field", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__field },
    { "/api/field/map", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__field_map },
    { "/api/magnet/study", CW_SERVER__YAML_BODY, STREAMS, NULL, CW_SERVER__EVENTS, cw_server__magnet_study },
    { "/api/flux.svg", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__SVG, cw_server__flux_figure },
    { "/api/heat", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__heat },
    { "/api/heat/map", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__heat_map },
    { "/api/switch", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__switch },
    { "/api/prove", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__prove },
    { "/api/former", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__JSON, cw_server__former },
    { "/api/former.stl", CW_SERVER__YAML_BODY, WRITES, NULL, CW_SERVER__STL, cw_server__solid_stl },
    { "/api/former.3mf", CW_SERVER__YAML_BODY, WRITES, NULL, CW_SERVER__3MF, cw_server__solid_3mf },
    { "/api/former.step", CW_SERVER__YAML_BODY, WRITES, NULL, CW_SERVER__STEP, cw_server__solid_step },
    { "/api/drawing.svg", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__SVG, cw_server__drawing_svg },
    { "/api/drawing.pdf", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__PDF, cw_server__drawing_pdf },
    { "/api/drawing.dxf", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__DXF, cw_server__drawing_dxf },
    { "/api/section.svg", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__SVG, cw_server__section },
    { "/api/sheet.pdf", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__PDF, cw_server__sheet },
    { "/api/program", CW_SERVER__YAML_BODY, 0, NULL, CW_SERVER__TEXT, cw_server__program },
    { "/api/replay", CW_SERVER__JSON_BODY, 0, NULL, CW_SERVER__JSON, cw_server__replay },
    { "/api/book", CW_SERVER__NO_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book },
    { "/api/book/jobs", CW_SERVER__NO_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_jobs },
    { "/api/book/job", CW_SERVER__NO_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_job },
    { "/api/book/version", CW_SERVER__NO_BODY, WRITES, NULL, CW_SERVER__YAML, cw_server__book_version },
    { "/api/book/add", CW_SERVER__JSON_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_add },
    { "/api/book/save", CW_SERVER__JSON_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_save },
    { "/api/book/state", CW_SERVER__JSON_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_state },
    { "/api/book/sign", CW_SERVER__JSON_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_sign },
    { "/api/book/shelf", CW_SERVER__NO_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_shelf },
    { "/api/book/spools", CW_SERVER__YAML_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_spools },
    { "/api/book/use", CW_SERVER__JSON_BODY, WRITES, NULL, CW_SERVER__JSON, cw_server__book_use },
};

const cw_server__route *cw_server__route_find(const char *path)
{
    for (size_t i = 0; i < sizeof routes / sizeof routes[0]; i++)
        if (strcmp(routes[i].path, path) == 0)
            return &routes[i];
    return NULL;
}

const char *cw_server__type_name(cw_server__type type)
{
    static const char *const names[CW_SERVER__TYPE_COUNT] = {
        [CW_SERVER__JSON] = "application/json",
        [CW_SERVER__SVG] = "image/svg+xml",
        [CW_SERVER__PDF] = "application/pdf",
        [CW_SERVER__TEXT] = "text/plain; charset=utf-8",
        [CW_SERVER__YAML] = "application/yaml; charset=utf-8",
        [CW_SERVER__HTML] = "text/html; charset=utf-8",
        [CW_SERVER__SCRIPT] = "text/javascript; charset=utf-8",
        [CW_SERVER__STYLE] = "text/css; charset=utf-8",
        [CW_SERVER__ICON] = "image/svg+xml",
        [CW_SERVER__EVENTS] = "text/event-stream",
        [CW_SERVER__STL] = "model/stl",
        [CW_SERVER__3MF] = "model/3mf",
        [CW_SERVER__STEP] = "model/step",
        [CW_SERVER__DXF] = "image/vnd.dxf",
    };

    return names[type];
}
