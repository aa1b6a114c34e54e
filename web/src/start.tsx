// SPDX-License-Identifier: GPL-3.0-or-later
// The first view: a new job, an example to try, or one that was begun.
import { useState } from 'preact/hooks';
import { fetchText } from './ask';
import { emptyJob, readJob, valueAt } from './job';
import { forget, list, newId, save } from './store';

export function Start({ open }: { open: (id: string) => void }) {
    const [told, tell] = useState('');
    const [jobs, setJobs] = useState(list);
    const begin = (text: string): void => {
        const id = newId();
        if (save(id, text)) open(id);
        else tell('This browser keeps nothing for this page; allow it to store data, so that nothing typed is lost.');
    };
    const example = (name: string): void => {
        fetchText(`/api/examples/${name}.yaml`).then(begin, (trouble: Error) => tell(trouble.message));
    };
    return (
        <div class="start">
            <p class="told" role="status">{told}</p>
            <section class="group">
                <h2>A coil came in</h2>
                <p class="about">Type the readings from the slip; the answer grows beside them as you type.</p>
                <div class="buttons">
                    <button type="button" class="main" onClick={() => begin(emptyJob('metric'))}>New job in millimetres</button>
                    <button type="button" class="main" onClick={() => begin(emptyJob('inch'))}>New job in inches</button>
                </div>
                <div class="field"><label for="open-file">Or open a job file</label>
                    <input id="open-file" type="file" accept=".yaml,.yml" onChange={(e) => {
                        const file = e.currentTarget.files?.[0];
                        if (file !== undefined && file.size <= 1024 * 1024) void file.text().then(begin);
                        else if (file !== undefined) tell(`${file.name} is larger than 1 MB; a job is a page or two.`);
                    }} /></div>
            </section>
            {jobs.length > 0 && (
                <section class="group">
                    <h2>On the bench</h2>
                    <ul class="jobs">{jobs.map(({ id, kept }) => {
                        const job = readJob(kept.text);
                        const name = valueAt(job, ['job', 'name']) || 'Coil without a name';
                        return (
                            <li key={id}>
                                <a href={`#${id}/came-in`}>{name}<small>{valueAt(job, ['job', 'machine'])} {new Date(kept.changed).toLocaleString()}</small></a>
                                <button type="button" class="quiet" aria-label={`Throw away: ${name}`} onClick={() => {
                                    if (confirm(`Throw away "${name}"? It cannot be brought back.`)) { forget(id); setJobs(list()); }
                                }}>Throw away</button>
                            </li>
                        );
                    })}</ul>
                </section>
            )}
            <section class="group">
                <h2>Try an invented one</h2>
                <div class="buttons">
                    <button type="button" onClick={() => example('press-brake')}>Press brake, in inches</button>
                    <button type="button" onClick={() => example('chuck-plate')}>Chuck plate, in millimetres</button>
                </div>
            </section>
        </div>
    );
}
