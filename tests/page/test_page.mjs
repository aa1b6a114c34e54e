#!/usr/bin/env node
// SPDX-License-Identifier: GPL-3.0-or-later
// The page in a real browser, from a slip of readings to the papers. Prints TAP.
//   test_page.mjs PROGRAM SOURCE_ROOT [FOLDER_FOR_PICTURES]
// Skipped, with a sentence, where Chromium or web/node_modules is missing: neither is needed to build or use Coilwright.
// Expected: what examples/press-brake.yaml says must come out of its readings; WCAG 2.2 AA by axe; issue figures in ms.
import { execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { gzipSync } from 'node:zlib';

const [program, root, pictures] = process.argv.slice(2);
const need = createRequire(`${root}/web/package.json`);
const CHROMIUM = '/usr/bin/chromium';

function skip(why) {
    console.log(`1..0 # SKIP ${why}`);
    process.exit(0);
}

if (Number(process.versions.node.split('.')[0]) < 20) skip('this is no Node.js 20 or later');
if (!existsSync(CHROMIUM)) skip('there is no Chromium here (Debian package chromium)');
let chromium;
let axePath;
try {
    ({ chromium } = need('playwright-core'));
    axePath = need.resolve('axe-core/axe.min.js');
} catch {
    skip('web/node_modules is missing: tools/prepare_page fetches it where a registry is reachable');
}

const FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'];
let browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });

// WebGL2 without a graphics card; everything else is slower there, so only the solid is looked at with it
const WITH_WEBGL = ['--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];

async function startServer(port = 0, ...more) {
    const server = spawn(program, ['serve', '--port', String(port), '--quiet', ...more], { stdio: ['ignore', 'pipe', 'inherit'] });
    const address = await new Promise((found) => createInterface(server.stdout).once('line', found));
    const end = (signal) => new Promise((gone) => { server.once('exit', gone); server.kill(signal); });
    return { server, address, port: Number(new URL(address).port), stop: () => end('SIGTERM'), kill: () => end('SIGKILL') };
}
const noBook = '--no-book';
let host = await startServer(0, noBook);

/** A server with a book of its own. */
async function withBook(test) {
    const folder = mkdtempSync(join(tmpdir(), 'coilwright-'));
    const file = join(folder, 'shop.book');
    const book = { host: await startServer(0, '--book', file), restart: async () => { book.host = await startServer(book.host.port, '--book', file); } };
    try {
        await test(book);
    } finally {
        if (book.host.server.exitCode === null && book.host.server.signalCode === null) await book.host.kill();
        rmSync(folder, { recursive: true, maxRetries: 20, retryDelay: 100 }); // a save may be on its last steps
    }
}

function must(fact, otherwise) {
    if (!fact) throw new Error(otherwise);
}

const SIZES = { phone: [390, 844, true], tablet: [820, 1180, true], desktop: [1280, 900, false] };

/** What Chromium itself tells of a server that was killed, a request that was held up, and an answer that says no. */
const TOLD = /ERR_(CONNECTION_(REFUSED|RESET)|EMPTY_RESPONSE|FAILED)|status of (409|422) /;

/** A page that fails where anything goes wrong in it, or where it asks anybody but its own server. */
async function open(size = 'desktop', more = {}, address = host.address, by = null) {
    // a browser that was ended from outside spoils the test at hand, not those behind it
    if (by === null && !browser.isConnected()) browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
    const [width, height, hasTouch] = SIZES[size];
    const context = await (by ?? browser).newContext({ viewport: { width, height }, hasTouch, acceptDownloads: true, ...more });
    const page = await context.newPage();
    const troubles = [];
    page.on('pageerror', (e) => troubles.push(e.message));
    page.on('console', (m) => { if (m.type() === 'error' && !TOLD.test(m.text())) troubles.push(m.text()); });
    // the browser's own reader of PDF consists of pages too
    page.on('request', (r) => { if (!/^((blob:)?http:\/\/127\.0\.0\.1:|chrome(-extension)?:)/.test(r.url())) troubles.push(`asked ${r.url()}`); });
    await page.goto(address);
    return { page, context, end: async () => { await context.close(); must(troubles.length === 0, troubles.join('; ')); } };
}

async function picture(page, name) {
    if (!pictures) return;
    mkdirSync(pictures, { recursive: true });
    await page.screenshot({ path: `${pictures}/${name}.png`, fullPage: true });
}

/** The slip that came with the brake, typed as it is written. */
const SLIP = [
    ['Resistance of a coil', '126.0 ohm ± 0.5 %', { at: '72 °F', 'meter leads alone': '0.2 ohm' }],
    ['Mass of all the wire', '14.9 oz ± 0.4 oz', {}],
    ['Wire over its covering', '0.0137 in ± 0.2 thou', {}],
    ['Bare wire', '0.0127 in ± 0.2 thou', {}],
    ['Turns in a layer', '87 ± 3', {}],
    ['Depth of the winding', '0.33 in ± 0.02 in', {}],
];

async function typeSlip(page, readings = SLIP) {
    for (const [name, value, extras] of readings) {
        await page.getByRole('group', { name: 'Add a reading' }).getByRole('button', { name: new RegExp(`^(\\+ )?${name}( \\(|$)`) }).click();
        const row = page.locator('.reading').last();
        await row.locator('input.value').fill(value);
        for (const [label, text] of Object.entries(extras)) await row.getByLabel(label, { exact: true }).fill(text);
    }
}

async function typeRest(page) {
    await page.getByLabel('This coil is').fill('left brake coil');
    await page.getByLabel('Inner diameter').fill('3 in ± 10 thou');
    await page.getByLabel('Length between flanges').fill('1-1/4 in ± 10 thou');
    await page.getByLabel('Depth for wire').fill('0.400 in');
    await page.getByLabel('Scraped, the wire is').selectOption('copper');
    await page.getByLabel('The maker bought wire in').selectOption('awg');
    await page.getByLabel('Wires wound together').selectOption('1');
    await page.getByLabel('The turns lie').selectOption('level');
    await page.getByLabel('Supply', { exact: true }).selectOption('full-wave');
    await page.getByLabel('Voltage, as a meter shows it').fill('90 V');
    await page.getByLabel('Frequency').fill('60 Hz');
    await page.getByLabel('On for').fill('30 % of 10 min');
    await page.getByLabel('Air around it, at most').fill('95 °F');
}

async function example(page, name = 'Press brake') {
    await page.getByRole('button', { name }).click();
    await page.locator('.verdict .headline').first().waitFor();
}

async function go(page, view) {
    await page.getByRole('navigation').getByRole('link', { name: view }).click();
}

async function download(page, button) {
    const [file] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button, exact: true }).click()]);
    return { name: file.suggestedFilename(), bytes: readFileSync(await file.path()) };
}

async function fromSlipToPapers(size) {
    const { page, end } = await open(size);
    await page.getByRole('button', { name: 'New job in inches' }).click();
    await typeSlip(page);
    await typeRest(page);
    await page.locator('.verdict .headline', { hasText: '28 AWG single copper' }).waitFor();
    const turns = async () => Number((await page.locator('.verdict dd').first().innerText()).split(/\s/)[0]);
    for (let i = 0; i < 100 && Math.abs(await turns() / 2200 - 1) >= 0.04; i++) await page.waitForTimeout(50); // the last keys' answer
    must(Math.abs(await turns() / 2200 - 1) < 0.04, `${await turns()} turns, not 2200 within 4 %`);
    await page.locator('.reading', { hasText: '0.01370 in = 0.3480 mm' }).waitFor();
    await go(page, 'What it was');
    await page.locator('.headline', { hasText: 'Most likely 28 AWG single copper' }).waitFor();
    await go(page, 'What to wind');
    await page.getByRole('button', { name: 'Add a spool' }).click();
    await page.getByLabel('Wire', { exact: true }).fill('28 AWG');
    await page.getByLabel('Left on it').fill('2 lb 3 oz');
    await page.getByLabel('Machine', { exact: true }).selectOption('lathe-thread');
    await page.getByLabel('Program in').selectOption('inch');
    await page.locator('.best-option .headline', { hasText: '28 AWG heavy copper' }).waitFor();
    await page.locator('.drawing img').waitFor();
    await go(page, 'At the lathe');
    await page.getByRole('button', { name: 'Ready: layer 1' }).click();
    must(/Layer 1 of \d+/.test(await page.locator('.lathe-title').innerText()), 'the first layer is not shown');
    await go(page, 'Papers');
    const sheet = await download(page, 'Sheet on Letter');
    must(sheet.name === 'left-brake-coil.pdf' && sheet.bytes.subarray(0, 5).toString() === '%PDF-', 'no sheet came');
    const code = await download(page, 'Program');
    must(/\nG20\n[\s\S]*\nG33 Z/.test(code.bytes.toString()), 'no program came');
    await end();
}

/** Milliseconds from a key to its answer on the screen, the quickest first. */
async function editTimes(page, from) {
    const times = [];
    for (let i = 0; i < 15; i++)
        times.push(await page.evaluate((value) => new Promise((done) => {
            const verdict = document.querySelector('.verdict');
            const input = document.querySelector('.reading input.value');
            const begun = performance.now();
            new MutationObserver((_, o) => { o.disconnect(); requestAnimationFrame(() => done(performance.now() - begun)); })
                .observe(verdict, { subtree: true, characterData: true, childList: true });
            input.value = value;
            input.dispatchEvent(new Event('input', { bubbles: true }));
        }), `${from + i} ohm ± 0.5 %`));
    return times.sort((a, b) => a - b);
}

const tests = {
    async from_a_slip_to_the_papers_on_a_desktop() { await fromSlipToPapers('desktop'); },
    async from_a_slip_to_the_papers_on_a_tablet() { await fromSlipToPapers('tablet'); },
    async from_a_slip_to_the_papers_on_a_phone() { await fromSlipToPapers('phone'); },

    async a_reading_dropped_changes_the_answer_and_undo_brings_it_back() {
        const { page, end } = await open();
        await example(page);
        const before = await page.locator('.verdict').innerText();
        await page.getByRole('button', { name: 'Drop: Mass of all the wire' }).click();
        await page.waitForFunction((b) => document.querySelector('.verdict').innerText !== b, before);
        must(await page.locator('.reading').count() === 5, 'it was not dropped');
        await page.getByRole('button', { name: 'Undo' }).click();
        await page.waitForFunction((b) => document.querySelector('.verdict').innerText === b, before);
        await page.getByRole('button', { name: 'Redo' }).click();
        must(await page.locator('.reading').count() === 5, 'redo did not drop it again');
        await end();
    },

    async an_edit_is_answered_within_150_ms() {
        const { page, end } = await open();
        await example(page);
        let times = [150.1];
        for (let round = 0; round < 8 && times[0] > 150; round++) { // others may use the machine; then again a little later
            if (round > 0) await page.waitForTimeout(4000);
            times = await editTimes(page, 120 + 20 * round);
            console.log(`# an edit's answer on screen after ${times.map((t) => t.toFixed(0)).join(', ')} ms`);
        }
        must(times[0] <= 150, `the quickest took ${times[0].toFixed(0)} ms`);
        await end();
    },

    async the_first_paint_is_there_within_half_a_second() {
        const { page, end } = await open();
        const times = [];
        for (let i = 0; i < 5; i++) {
            await page.reload();
            times.push(await page.waitForFunction(() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime).then((h) => h.jsonValue()));
        }
        console.log(`# first useful paint after ${times.map((t) => t.toFixed(0)).join(', ')} ms`);
        must(Math.min(...times) < 500, 'it was slower each time');
        await end();
    },

    async a_wrong_reading_is_told_beside_it_and_the_rest_keeps_its_answer() {
        const { page, end } = await open();
        await example(page);
        await page.locator('.reading input.value').nth(2).fill('0,0137 in');
        const row = page.locator('.reading').nth(2);
        await row.locator('.beneath.wrong', { hasText: 'Not so' }).waitFor();
        must(await row.locator('input.value').getAttribute('aria-invalid') === 'true', 'the field does not say so to a screen reader');
        await page.locator('.verdict .headline', { hasText: '28 AWG' }).first().waitFor();
        must(await page.locator('.verdict.stale').count() === 0, 'the answer is of before');
        await end();
    },

    async comments_in_the_text_outlive_edits_in_the_form() {
        const { page, end } = await open();
        await example(page);
        await page.getByLabel('This coil is').fill('right brake coil');
        await go(page, 'Job text');
        const text = await page.getByLabel('Job text').inputValue();
        must(text.includes('# a bridge on the 100 V tap') && text.includes('name: right brake coil'), text.slice(0, 400));
        await page.getByLabel('Job text').fill(text.replace('inner: 3 in', 'iner: 3 in'));
        await page.locator('.mistakes li', { hasText: 'inner' }).first().waitFor();
        await page.getByLabel('Job text').fill(text.replace('shape: round', 'shape: ['));
        await page.locator('.mistakes li').first().waitFor();
        await go(page, 'What came in');
        await page.getByText('The job text cannot be read.').waitFor();
        await page.getByRole('button', { name: 'Undo' }).click();
        await page.getByLabel('This coil is').waitFor();
        await end();
    },

    async what_was_typed_outlives_the_server_and_the_page() {
        const { page, context, end } = await open();
        await example(page);
        const port = Number(new URL(host.address).port);
        await host.stop();
        await page.getByLabel('Of the machine').fill('press in bay 4');
        await page.getByText('The server does not answer.').waitFor();
        const url = page.url();
        await page.close({ runBeforeUnload: false });
        host = await startServer(port, noBook);
        const again = await context.newPage();
        await again.goto(url);
        must(await again.getByLabel('Of the machine').inputValue() === 'press in bay 4', 'it was lost');
        await again.locator('.verdict .headline').first().waitFor();
        await end();
    },

    async two_tabs_do_not_overwrite_each_other_silently() {
        const { page, context, end } = await open();
        await example(page);
        const other = await context.newPage();
        await other.goto(page.url());
        await other.getByLabel('This coil is').fill('from the other tab');
        await page.getByText('changed elsewhere').waitFor();
        must(await page.getByLabel('This coil is').inputValue() === 'from the other tab', 'the first tab still shows the old name');
        await page.getByRole('button', { name: 'Undo' }).click();
        must(await page.getByLabel('This coil is').inputValue() === 'left brake coil', 'undo does not bring it back');
        await end();
    },

    async the_lathe_steps_by_key_and_touch_and_keeps_its_place() {
        const { page, end } = await open('tablet');
        await example(page);
        await go(page, 'At the lathe');
        await page.locator('.lathe-title', { hasText: 'Before the first turn' }).waitFor();
        await page.keyboard.press('ArrowRight');
        await page.keyboard.press('ArrowRight');
        await page.locator('.lathe-title', { hasText: 'Layer 2 of 26' }).waitFor();
        must((await page.locator('.lathe-way').innerText()).includes('back to the start flange'), 'layer 2 goes the wrong way');
        must(await page.locator('.lathe-number').innerText() === '168', 'the counter is not at 2 x 84');
        await page.getByRole('button', { name: 'Next: layer 3' }).tap();
        await page.locator('.lathe-title', { hasText: 'Layer 3 of 26' }).waitFor();
        await page.reload();
        await page.locator('.lathe-title', { hasText: 'Layer 3 of 26' }).waitFor();
        await go(page, 'Papers');
        await go(page, 'At the lathe');
        await page.locator('.lathe-title', { hasText: 'Layer 3 of 26' }).waitFor();
        await page.goBack();
        await page.getByRole('heading', { name: 'Job sheet' }).waitFor();
        await end();
    },

    async a_changed_program_is_judged() {
        const { page, end } = await open();
        await example(page);
        await go(page, 'Papers');
        const good = (await download(page, 'Program')).bytes.toString();
        const judge = (name, text) => page.getByLabel('Judge a program from a file').setInputFiles({ name, mimeType: 'text/plain', buffer: Buffer.from(text) });
        await judge('as-written.ngc', good);
        await page.getByText('as-written.ngc: good').waitFor();
        await judge('changed.ngc', good.replace('G33 Z1.2427', 'G33 Z1.1'));
        await page.getByText('changed.ngc: not good').waitFor();
        await end();
    },

    async nothing_typed_is_lost_when_server_and_page_die() {
        await withBook(async (book) => {
            const { page, context, end } = await open('desktop', {}, book.host.address);
            await example(page);
            const url = page.url();
            must(/#job-1\//.test(url), `the job is not in the book: ${url}`);
            await page.getByLabel('Of the machine').fill('press in bay 4');
            await page.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            await page.getByLabel('This coil is').press('End');
            await page.getByLabel('This coil is').pressSequentially(', left', { delay: 20 });
            await book.host.kill(); // in the middle of a word
            await page.getByLabel('Voltage, as a meter shows it').fill('91 V');
            await page.locator('.keeping', { hasText: 'Not saved yet' }).waitFor();
            await page.close({ runBeforeUnload: false });
            await book.restart();
            const again = await context.newPage();
            await again.goto(url);
            await again.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            must(await again.getByLabel('This coil is').inputValue() === 'left brake coil, left', `the name was lost: ${await again.getByLabel('This coil is').inputValue()}`);
            must(await again.getByLabel('Voltage, as a meter shows it').inputValue() === '91 V', 'the voltage was lost');
            const kept = await (await fetch(`${book.host.address}api/book/job?job=1`)).json();
            must(kept.yaml.includes('voltage: 91 V') && kept.name === 'left brake coil, left' && kept.machine === 'press in bay 4', 'the book has not got it');
            await end();
        });
    },

    async a_page_closed_in_mid_word_has_saved_it() {
        await withBook(async (book) => {
            const { page, end } = await open('desktop', {}, book.host.address);
            await example(page);
            await page.getByLabel('This coil is').fill('closed at once');
            await page.close({ runBeforeUnload: true });
            for (let i = 0; i < 50; i++) {
                const kept = await (await fetch(`${book.host.address}api/book/job?job=1`)).json();
                if (kept.name === 'closed at once') return end();
                await new Promise((go) => setTimeout(go, 100));
            }
            throw new Error('the book has not got it after 5 s');
        });
    },

    async of_two_tabs_the_second_is_asked_and_nothing_is_lost() {
        await withBook(async (book) => {
            const { page, context, end } = await open('desktop', {}, book.host.address);
            const name = (p) => p.getByLabel('This coil is');
            await example(page);
            const other = await context.newPage();
            await other.goto(page.url());
            await name(other).waitFor();
            await name(other).fill('from the other tab');
            await other.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            await page.getByText('changed elsewhere').waitFor(); // nothing was being typed here: it is taken over
            must(await name(page).inputValue() === 'from the other tab', 'the first tab still shows the old name');
            await page.getByRole('button', { name: 'Undo' }).click();
            must(await name(page).inputValue() === 'left brake coil', 'undo does not bring it back');
            await page.locator('.keeping', { hasText: /^Saved$/ }).waitFor();

            await context.route('**/api/book/job?**', (route) => route.abort()); // as for a device that looks away
            await name(other).waitFor();
            const save = page.waitForResponse((r) => r.url().endsWith('/api/book/save') && r.ok());
            await name(page).fill('mine');
            await save;
            await name(other).fill('theirs');
            await other.getByRole('heading', { name: 'Which of the two?' }).waitFor();
            must(/-.*name: mine/.test(await other.locator('.differences').innerText()), 'what differs is not shown');
            await look(other, 'the question');
            await picture(other, 'question');
            await other.getByRole('button', { name: 'Keep what is typed here' }).click();
            await other.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            const kept = await (await fetch(`${book.host.address}api/book/job?job=1`)).json();
            must(kept.name === 'theirs', 'the answer was not followed');
            const before = await (await fetch(`${book.host.address}api/book/version?job=1&version=${kept.versions.length - 1}`)).text();
            must(before.includes('name: mine'), 'the other one is not in the book');
            await end();
        });
    },

    async jobs_are_found_in_the_book_and_wire_on_its_shelf() {
        await withBook(async (book) => {
            const { page, end } = await open('tablet', {}, book.host.address);
            for (const name of ['Press brake', 'Chuck plate']) {
                await page.goto(`${book.host.address}#`);
                await example(page, name);
                await page.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            }
            await page.getByRole('link', { name: 'Coilwright' }).click();
            await page.locator('.jobs li').nth(1).waitFor();
            await page.getByLabel('Resistance at 20 °C').fill('125 ohm');
            await page.locator('.jobs li:only-child', { hasText: 'left brake coil' }).waitFor();
            await look(page, 'the book');
            await page.getByRole('link', { name: 'Shelf' }).tap();
            await page.getByLabel('Wire').fill('29 AWG');
            await page.getByLabel('Left on it').fill('1 lbs ');
            await page.getByRole('button', { name: 'Put it on the shelf' }).click();
            await page.locator('.shelf-name', { hasText: '29 AWG heavy copper' }).waitFor();
            await page.getByLabel('Amount of 29 AWG heavy copper').fill('4 oz');
            await page.getByRole('button', { name: 'Book off: 29 AWG heavy copper' }).click();
            await page.locator('.shelf-left', { hasText: '12.0 oz' }).waitFor(); // 16 oz less 4 oz
            await look(page, 'the shelf');
            await page.getByRole('link', { name: 'Jobs' }).click();
            await page.getByRole('link', { name: /left brake coil/ }).click();
            await go(page, 'What to wind');
            await page.getByRole('button', { name: 'As on the shelf of the book' }).click();
            await page.getByText('1 spool taken over').waitFor();
            must(await page.locator('.spool').count() === 1, 'the shelf was not taken over');
            await end();
        });
    },

    async earlier_versions_come_back() {
        await withBook(async (book) => {
            const { page, end } = await open('desktop', {}, book.host.address);
            await example(page);
            await page.getByLabel('This coil is').fill('renamed');
            await page.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            await go(page, 'Job text');
            await page.getByLabel(/^Every version/).selectOption('1');
            await page.getByRole('button', { name: 'Bring it back' }).click();
            await page.waitForFunction(() => document.querySelector('#job-text').value.includes('name: left brake coil'));
            await page.locator('.keeping', { hasText: /^Saved$/ }).waitFor();
            await page.getByRole('button', { name: 'New job that starts from this one' }).click();
            await page.waitForURL(/#job-2\//);
            await end();
        });
    },

    async another_option_is_wound_and_given_up_again() {
        const { page, end } = await open();
        await example(page);
        await go(page, 'What to wind');
        await page.getByRole('button', { name: '28 AWG single copper', exact: true }).click();
        await page.getByRole('heading', { name: 'Your own choice' }).waitFor();
        await page.locator('.best-option .headline', { hasText: '28 AWG single copper' }).waitFor();
        await page.getByRole('button', { name: 'Back to what comes first' }).click();
        await page.locator('.best-option .headline', { hasText: '28 AWG heavy copper' }).waitFor();
        await end();
    },

    async the_magnet_is_read_at_the_pointer_and_asked_by_sliders() {
        const { page, end } = await open();
        await example(page);
        await go(page, 'Magnet');
        const map = page.locator('.map', { hasText: 'Flux density' });
        await map.locator('canvas').waitFor();
        const box = await map.locator('canvas').boundingBox();
        await page.mouse.move(box.x + box.width * 0.68, box.y + box.height / 2); // in the pole, right of the bore
        await map.locator('.map-read', { hasText: 'in the pole' }).waitFor();
        const tesla = parseFloat(await map.locator('.map-read b').innerText());
        must(tesla > 1.5 && tesla < 2.2, `${tesla} T in the pole`); // the field's own figure for it is 1.84 T
        await map.locator('.map-canvas').focus();
        const here = await map.locator('.map-read').innerText();
        for (let i = 0; i < 12; i++) await page.keyboard.press('ArrowRight');
        must(await map.locator('.map-read').innerText() !== here, 'the arrow keys do not move the cross');
        const pull = async () => parseFloat(await page.locator('.slider-answer b').innerText());
        await page.locator('.slider-answer b').waitFor();
        const own = await pull();
        const headline = parseFloat(await page.locator('.headline').first().innerText());
        must(Math.abs(own / headline - 1) < 0.01, `slider ${own}, field ${headline}`);
        await page.getByRole('slider', { name: 'Gap' }).focus();
        for (let i = 0; i < 8; i++) await page.keyboard.press('PageUp');
        must(await pull() < 0.7 * own, 'a wider gap does not pull less');
        await page.locator('progress').waitFor({ state: 'detached' });
        await page.getByRole('slider', { name: 'Plate' }).focus();
        const thick = await pull();
        await page.keyboard.press('Home');
        must(await pull() < thick, 'a thin plate does not pull less');
        const frames = await page.evaluate(() => new Promise((done) => {
            const slider = document.querySelector('#gap');
            const times = [];
            const step = (now) => {
                times.push(now);
                if (times.length > 90) return done((1000 * (times.length - 1)) / (times[times.length - 1] - times[0]));
                slider.value = String((times.length * 11) % 1000);
                slider.dispatchEvent(new Event('input', { bubbles: true }));
                requestAnimationFrame(step);
            };
            requestAnimationFrame(step);
        }));
        console.log(`# ${frames.toFixed(0)} frames a second while the gap's slider moves at each of them`);
        must(frames >= 30, `${frames.toFixed(1)} frames a second`);
        await end();
    },

    async a_magnet_is_entered_by_its_shape() {
        const { page, end } = await open('tablet');
        await example(page);
        await go(page, 'Job text');
        const text = await page.getByLabel('Job text').inputValue();
        await page.getByLabel('Job text').fill(text.slice(0, text.indexOf('magnet:')));
        await go(page, 'Magnet');
        await page.getByText('no magnet').first().waitFor();
        await page.getByLabel('Shape').selectOption('pot');
        const sizes = { 'Outer diameter': '4.90 in', 'Pole diameter': '2.85 in', 'Rim thickness': '0.50 in', 'Base thickness': '0.60 in', Height: '2.10 in', Gap: '0.010 in', 'Plate thickness': '3/4 in' };
        await page.getByLabel('Iron', { exact: true }).selectOption('low-carbon-steel');
        for (const [label, size] of Object.entries(sizes)) await page.getByLabel(label, { exact: true }).fill(size);
        await page.locator('.headline', { hasText: 'lbf warm' }).waitFor();
        await end();
    },

    async a_suppressor_is_chosen_and_its_price_told() {
        const { page, end } = await open();
        await example(page);
        await go(page, 'Switching');
        await page.locator('.headline', { hasText: 'With a diode' }).waitFor();
        await page.getByRole('button', { name: 'Zener' }).click();
        await page.locator('.headline', { hasText: 'With a Zener' }).waitFor();
        const slow = await page.getByRole('row', { name: /^diode \d/ }).locator('td').first().innerText();
        const fast = await page.getByRole('row', { name: /^Zener/ }).locator('td').first().innerText();
        must(parseFloat(fast) < parseFloat(slow), `diode ${slow}, Zener ${fast}`);
        await page.reload();
        await page.locator('.headline', { hasText: 'With a Zener' }).waitFor(); // it stands in the address
        await end();
    },

    async the_former_is_turned_around_and_its_files_come() {
        const drawing = await chromium.launch({ executablePath: CHROMIUM, args: [...FLAGS.filter((f) => f !== '--disable-gpu'), ...WITH_WEBGL] });
        const { page, end } = await open('desktop', {}, host.address, drawing);
        await example(page);
        await go(page, 'Former');
        const canvas = page.locator('.solid-view canvas');
        await canvas.waitFor();
        await page.waitForTimeout(300);
        const first = await canvas.screenshot();
        must(new Set(first).size > 100, 'nothing is drawn');
        const box = await canvas.boundingBox();
        await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
        await page.mouse.down();
        await page.mouse.move(box.x + box.width / 2 + 90, box.y + box.height / 2 + 30, { steps: 4 });
        await page.mouse.up();
        const turned = await canvas.screenshot();
        must(!turned.equals(first), 'dragging does not turn it');
        await page.locator('.turnable').focus();
        await page.keyboard.press('ArrowLeft');
        must(!(await canvas.screenshot()).equals(turned), 'the arrow keys do not turn it');
        await page.getByRole('button', { name: 'The arbor', exact: true }).click();
        await page.getByRole('img', { name: 'The arbor, piece by piece' }).waitFor();
        must(/\/former\/arbor$/.test(page.url()), 'the part is not in the address');
        const stl = await download(page, 'Former, STL to print');
        must(stl.name === 'left-brake-coil-former.stl' && stl.bytes.length === 84 + 50 * stl.bytes.readUInt32LE(80), 'no STL came');
        await page.getByLabel('Wall of the tube').fill('2 mils');
        await page.locator('.beneath.wrong').or(page.getByText('thinner')).first().waitFor(); // too thin to be made
        await end();
        await drawing.close();
    },

    async a_proof_takes_readings_and_gives_verdicts() {
        const { page, end } = await open('tablet');
        await example(page);
        await go(page, 'Proof');
        const test = page.locator('.test', { hasText: 'Winding resistance' });
        must((await page.locator('.test', { hasText: 'Earth bond' }).locator('.test-limit').innerText()) === 'at most 100 mohm', 'the bond has another limit'); // data/proof_limits.csv: 0.1 ohm
        await test.getByRole('button', { name: /^Enter what was read/ }).tap();
        await test.getByLabel('Read', { exact: true }).fill('124 ohm');
        await test.getByLabel('winding at').fill('68 °F');
        await test.locator('.verdict-word', { hasText: 'Passed' }).waitFor();
        await test.getByLabel('Read', { exact: true }).fill('140 ohm'); // above 130.3 ohm
        await test.locator('.verdict-word', { hasText: 'Failed' }).waitFor();
        await page.locator('.outcome', { hasText: 'do not put it back to work' }).waitFor();
        await test.locator('.causes li').first().waitFor();
        await look(page, 'a failed proof');
        await picture(page, 'proof-failed');
        await test.getByLabel('Read', { exact: true }).fill('124,0 ohm');
        await test.locator('.beneath.wrong', { hasText: 'Not so' }).waitFor();
        await end();
    },

    async the_traverse_moves_as_the_program_winds() {
        const { page, end } = await open('tablet');
        await example(page);
        await go(page, 'At the lathe');
        await page.keyboard.press('ArrowRight');
        await page.getByRole('button', { name: 'Show the traverse' }).tap();
        const turn = async () => Number(/turn (\d+)/.exec(await page.locator('.turn-count').innerText())[1]);
        await page.waitForTimeout(300);
        const first = await turn();
        await page.waitForTimeout(700);
        must(await turn() > first, 'it does not move');
        await page.getByRole('button', { name: 'Stop the picture' }).tap();
        must(await page.locator('.turn-count').count() === 0, 'it does not stop');
        await end();
    },

    async the_bar_of_views_shows_where_one_is_on_a_phone() {
        const { page, end } = await open('phone');
        await example(page);
        for (const view of [...VIEWS].reverse()) {
            await page.evaluate((name) => [...document.querySelectorAll('.tabs a')].find((a) => a.textContent === name).click(), view);
            await page.waitForTimeout(100);
            const inside = await page.evaluate(() => {
                const box = document.querySelector('.tabs [aria-current]').getBoundingClientRect();
                return box.left >= 0 && box.right <= innerWidth;
            });
            must(inside, `${view} is out of sight`);
        }
        await end();
    },

    async the_script_is_small() {
        const bytes = gzipSync(readFileSync(`${root}/web/dist/page.js`), { level: 9 }).length;
        console.log(`# the script takes ${(bytes / 1000).toFixed(0)} kB compressed`);
        must(bytes < 250_000, `${bytes} bytes`);
    },

    async a_dragged_slider_holds_30_frames_a_second() {
        const { page, end } = await open();
        await example(page);
        await go(page, 'What to wind');
        await page.locator('.drawing img').waitFor();
        const frames = await page.evaluate(() => new Promise((done) => {
            const slider = document.querySelector('input[type=range]');
            const times = [];
            const step = (now) => {
                times.push(now);
                if (times.length > 90) return done((1000 * (times.length - 1)) / (times[times.length - 1] - times[0]));
                slider.value = String(1 + (times.length % 38) / 2);
                slider.dispatchEvent(new Event('input', { bubbles: true }));
                requestAnimationFrame(step);
            };
            requestAnimationFrame(step);
        }));
        console.log(`# ${frames.toFixed(0)} frames a second while the slider moves at each of them`);
        must(frames >= 30, `${frames.toFixed(1)} frames a second`);
        await end();
    },

    async the_keyboard_alone_reaches_a_reading_and_the_papers() {
        const { page, end } = await open();
        const reach = async (name) => {
            for (let i = 0; i < 80; i++) {
                await page.keyboard.press('Tab');
                const here = await page.evaluate(() => (document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '').trim());
                if (here.startsWith(name)) return page.keyboard.press('Enter');
            }
            throw new Error(`"${name}" is not reached by Tab`);
        };
        await reach('New job in millimetres');
        await reach('+ Resistance of a coil');
        await page.keyboard.type('84.2 ohm');
        await page.locator('.beneath', { hasText: '84.20 ohm' }).waitFor();
        await page.locator('h1').focus();
        await reach('Papers');
        await page.getByRole('heading', { name: 'Job sheet' }).waitFor();
        await end();
    },
};

const VIEWS = ['What came in', 'What it was', 'What to wind', 'Magnet', 'Switching', 'Former', 'At the lathe', 'Proof', 'Papers', 'Job text'];

/** What a view has when all of it is there. */
const WHOLE = {
    'What came in': '.verdict', 'What it was': 'table', 'At the lathe': '.lathe', 'Job text': '#job-text', 'What to wind': '.drawing img', Magnet: '.map:has-text("Temperature") canvas', Switching: '.pair .curve', Former: '.solid-view canvas', Proof: '.test', Papers: '.program:has-text("G33")',
};

async function whole(page, view) {
    if (WHOLE[view]) await page.locator(WHOLE[view]).first().waitFor();
    if (view === 'Magnet') await page.locator('.sliders').waitFor();
}

/** Text below 12 px, and boxes that push the page sideways. */
const measure = () => {
    const small = new Set();
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const box = node.parentElement;
        if (!node.nodeValue.trim() || !box.getClientRects().length) continue;
        const svg = box.ownerSVGElement;
        const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
        const px = parseFloat(getComputedStyle(box).fontSize) * scale;
        if (px < 11.99) small.add(`${px.toFixed(1)} px: ${node.nodeValue.trim().slice(0, 40)}`);
    }
    // WCAG 2.2, 2.5.8; links within a sentence aside
    const narrow = [...document.querySelectorAll('button, input, select, textarea, summary, nav a, .jobs a, canvas')].filter((e) => {
        const b = e.getBoundingClientRect();
        return b.width > 0 && !e.closest('.for-ears') && (b.width < 24 || b.height < 24);
    }).map((e) => `${e.tagName} ${e.textContent.trim().slice(0, 20)} is ${e.getBoundingClientRect().height} px high`);
    return { small: [...small, ...narrow], over: document.documentElement.scrollWidth - innerWidth };
};

async function look(page, name) {
    const { small, over } = await page.evaluate(measure);
    must(small.length === 0, `${name}: ${small.join('; ')}`);
    must(over <= 0, `${name} is ${over} px too wide`);
    await page.evaluate(readFileSync(axePath, 'utf8')); // by the debugger: the page itself would not let it in
    const found = await page.evaluate(() => globalThis.axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
    }));
    must(found.violations.length === 0, `${name}: ${found.violations.map((v) => `${v.id} at ${v.nodes.map((n) => n.target).slice(0, 3).join(', ')}`).join('; ')}`);
}

for (const size of Object.keys(SIZES))
    for (const colorScheme of ['light', 'dark'])
        tests[`every_view_is_accessible_on_a_${size}_${colorScheme}`] = async () => {
            const { page, end } = await open(size, { colorScheme, reducedMotion: 'reduce' });
            await look(page, 'start');
            await picture(page, `${size}-${colorScheme}-start`);
            await example(page);
            for (const view of VIEWS) {
                await go(page, view);
                if (view === 'At the lathe') await page.getByRole('button', { name: 'Ready: layer 1' }).click();
                await whole(page, view);
                await picture(page, `${size}-${colorScheme}-${view.toLowerCase().replaceAll(' ', '-')}`);
                await look(page, view);
            }
            await end();
        };

tests.it_holds_from_360_px_to_4k = async () => {
    const { page, end } = await open();
    await example(page);
    for (const [width, height] of [[360, 640], [768, 1024], [1920, 1080], [3840, 2160]]) {
        await page.setViewportSize({ width, height });
        for (const view of VIEWS) {
            await go(page, view);
            await whole(page, view);
            const { small, over } = await page.evaluate(measure);
            must(over <= 0 && small.length === 0, `${view} at ${width} px: ${over} px over, ${small.join('; ')}`);
        }
        await picture(page, `wide-${width}-job-text`);
    }
    await end();
};

tests.the_pairing_page_is_accessible = async () => {
    const { page, end } = await open('phone');
    await page.goto(`${host.address}pair`);
    await look(page, 'pairing');
    await picture(page, 'pairing');
    await end();
};

tests.every_view_prints = async () => {
    const { page, end } = await open();
    await example(page);
    await page.emulateMedia({ media: 'print' });
    for (const view of VIEWS) {
        await page.evaluate((name) => [...document.querySelectorAll('.tabs a')].find((a) => a.textContent === name).click(), view);
        await whole(page, view);
        const pages = (await page.pdf({ format: 'A4' })).toString('latin1').match(/\/Type\s*\/Page\b/g)?.length ?? 0;
        must(pages >= 1 && pages <= 8, `${view} prints on ${pages} pages`);
        must(await page.evaluate(() => getComputedStyle(document.querySelector('.tabs')).display === 'none'), 'the bar of views prints too');
        if (pictures) await page.screenshot({ path: `${pictures}/print-${view.toLowerCase().replaceAll(' ', '-')}.png`, fullPage: true });
    }
    await end();
};

tests.the_committed_page_is_what_its_sources_give = async () => {
    execFileSync(process.execPath, ['build.mjs', '--check'], { cwd: `${root}/web`, stdio: ['ignore', 'inherit', 'inherit'] });
    execFileSync(process.execPath, [need.resolve('typescript/package.json').replace('package.json', 'bin/tsc'), '--noEmit'],
        { cwd: `${root}/web`, stdio: ['ignore', 'inherit', 'inherit'] });
};

const wanted = process.env.ONLY ? new RegExp(process.env.ONLY) : /./;
const chosen = Object.entries(tests).filter(([name]) => wanted.test(name));
console.log(`1..${chosen.length}`);
let number = 0;
for (const [name, test] of chosen) {
    const begun = Date.now();
    try {
        await test();
        console.log(`ok ${++number} - ${name} # ${Date.now() - begun} ms`);
    } catch (trouble) {
        console.log(`not ok ${++number} - ${name}\n# ${String(trouble.message).slice(0, 3000).replaceAll('\n', '\n# ')}`);
    }
}
await browser.close();
await host.stop();
process.exit(0); // whatever a test that failed has left open
