/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The routes. Paths are compared whole with this table and never become file names, so that none leads elsewhere.
 * src/server/openapi.json describes the same; tests/server compares the two. */
#include "server/server_internal.h"

#include <string.h>

static const cw_server__route routes[] = {
    { "/", CW_SERVER__NO_BODY, "page.html", CW_SERVER__HTML, NULL },
    { "/page.js", CW_SERVER__NO_BODY, "page.js", CW_SERVER__SCRIPT, NULL },
    { "/page.css", CW_SERVER__NO_BODY, "page.css", CW_SERVER__STYLE, NULL },
    { "/icon.svg", CW_SERVER__NO_BODY, "icon.svg", CW_SERVER__ICON, NULL },
    { "/licences.txt", CW_SERVER__NO_BODY, "licences.txt", CW_SERVER__TEXT, NULL },
    { "/api/openapi.json", CW_SERVER__NO_BODY, "openapi.json", CW_SERVER__JSON, NULL },
    { "/api/examples/press-brake.yaml", CW_SERVER__NO_BODY, "press-brake.yaml", CW_SERVER__YAML, NULL },
    { "/api/examples/chuck-plate.yaml", CW_SERVER__NO_BODY, "chuck-plate.yaml", CW_SERVER__YAML, NULL },
    { "/api/template", CW_SERVER__NO_BODY, NULL, CW_SERVER__YAML, cw_server__template },
    { "/api/job", CW_SERVER__YAML_BODY, NULL, CW_SERVER__JSON, cw_server__job },
    { "/api/identify", CW_SERVER__YAML_BODY, NULL, CW_SERVER__JSON, cw_server__identify },
    { "/api/choose", CW_SERVER__YAML_BODY, NULL, CW_SERVER__JSON, cw_server__choose },
    { "/api/lay", CW_SERVER__YAML_BODY, NULL, CW_SERVER__JSON, cw_server__lay },
    { "/api/section.svg", CW_SERVER__YAML_BODY, NULL, CW_SERVER__SVG, cw_server__section },
    { "/api/sheet.pdf", CW_SERVER__YAML_BODY, NULL, CW_SERVER__PDF, cw_server__sheet },
    { "/api/program", CW_SERVER__YAML_BODY, NULL, CW_SERVER__TEXT, cw_server__program },
    { "/api/replay", CW_SERVER__JSON_BODY, NULL, CW_SERVER__JSON, cw_server__replay },
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
    };

    return names[type];
}
