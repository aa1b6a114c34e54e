// SPDX-License-Identifier: GPL-3.0-or-later
// Builds the page into web/dist, which is committed so that building Coilwright needs no Node.js.
//   node build.mjs           writes
//   node build.mjs --check   compares with what is there, and exits with 1 where they differ
import { readFileSync, writeFileSync } from 'node:fs';
import { build } from 'esbuild';
import { types } from './types.mjs';

const check = process.argv.includes('--check');
const here = (path) => new URL(path, import.meta.url);
let stale = 0;

function put(path, text) {
    if (!check) {
        writeFileSync(here(path), text);
    } else if (readFileSync(here(path), 'utf8') !== text) {
        console.error(`web/${path} is not what its sources give; run: npm run build`);
        stale = 1;
    }
}

put('src/api.ts', types());

const result = await build({
    absWorkingDir: here('.').pathname,
    entryPoints: ['src/main.tsx', 'src/page.css'],
    bundle: true,
    minify: true,
    charset: 'utf8',
    format: 'iife',
    target: ['es2021'],
    jsx: 'automatic',
    jsxImportSource: 'preact',
    legalComments: 'none', // they stand in licences.txt
    banner: { js: '/* Coilwright\'s page, GPL-3.0-or-later; source in web/src. Parts of others: /licences.txt */' },
    outdir: 'dist',
    write: false,
});
for (const file of result.outputFiles)
    put(file.path.endsWith('.css') ? 'dist/page.css' : 'dist/page.js', file.text);

const licences = ['preact', 'yaml'].map((name) => {
    const { version, license } = JSON.parse(readFileSync(here(`node_modules/${name}/package.json`), 'utf8'));
    return `${name} ${version}, ${license}\n\n${readFileSync(here(`node_modules/${name}/LICENSE`), 'utf8').trim()}\n`;
});
put('dist/licences.txt', `The page holds code of these libraries.\n\n${licences.join('\n---\n\n')}`);
process.exit(stale);
