// check.js SCHEMAS BOOK SOUND BROKEN: the schemas take every document of the book and of SOUND, and none
// of BROKEN. Needs ajv and yaml, the reader that editors' YAML language servers use too.
'use strict';
const fs = require('fs');
const path = require('path');
const Ajv = require('ajv/dist/2020');
const YAML = require('yaml');

const [schemas, book, sound, broken] = process.argv.slice(2);
const ajv = new Ajv({ strict: true, allowUnionTypes: true });
const takes = {};
for (const kind of ['batch', 'cellar', 'plant'])
    takes[kind] = ajv.compile(JSON.parse(fs.readFileSync(path.join(schemas, kind + '.json'), 'utf8')));

function* filesBelow(folder) {
    for (const entry of fs.readdirSync(folder, { withFileTypes: true })) {
        const name = path.join(folder, entry.name);
        if (entry.isDirectory()) yield* filesBelow(name);
        else if (entry.name.endsWith('.yaml')) yield name;
    }
}

let failures = 0, seen = 0;
function check(file, wanted) {
    for (const doc of YAML.parseAllDocuments(fs.readFileSync(file, 'utf8'))) {
        const value = doc.toJS();
        const kind = ['batch', 'cellar', 'plant'].find((k) => k in value);
        const is = doc.errors.length === 0 && takes[kind](value);
        seen++;
        if (is === wanted) continue;
        failures++;
        const why = doc.errors.concat(takes[kind].errors || []).map((e) => `${e.instancePath || ''} ${e.message}`);
        console.log(`${file}: ${wanted ? 'refused' : 'taken'}: ${JSON.stringify(value)}\n${why.join('\n')}`);
    }
}
for (const file of filesBelow(book)) check(file, true);
check(sound, true);
check(broken, false);
console.log(`note: schema: ${seen} documents through ajv, ${failures} wrong`);
process.exit(failures > 0 ? 1 : 0);
