// SPDX-License-Identifier: GPL-3.0-or-later
// Gives the pairing code, which stands behind the # of the address where the code was scanned: it then never leaves
// this device but in the one request, and a preview of the link does not use it up.
'use strict';
const field = document.getElementById('code');
const told = document.getElementById('told');

async function pair() {
    const code = field.value.toUpperCase().replace(/[^A-Z0-9]/g, '');
    told.textContent = '';
    try {
        const response = await fetch('/api/pair', {
            method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ code }),
        });
        if (response.ok) location.replace('/');
        else told.textContent = (await response.json()).error.text;
    } catch {
        told.textContent = 'The server does not answer. Is this device in the same network?';
    }
}

document.getElementById('pair').addEventListener('submit', (event) => {
    event.preventDefault();
    pair();
});
if (location.hash.length > 1) {
    field.value = decodeURIComponent(location.hash.slice(1));
    history.replaceState(null, '', '/pair');
    pair();
}
