// check.js SCHEMAS BOOK SOUND BROKEN: the schemas describe every key and take every document of the book and of SOUND, and none
// of BROKEN. Needs ajv and yaml, the reader that editors' YAML language servers use too.
'use strict';
const fs = require('fs');
const path = require('path');
const Ajv = require('ajv/dist/2020');
const YAML = require('yaml');

const [schemas, book, sound, broken] = process.argv.slice(2);
const ajv = new Ajv({ strict: true, allowUnionTypes: true });
const takes = {};
let failures = 0, seen = 0, keys = 0;

// Every key tells what it is; a scalar is a string, number, boolean or null, whatever its pattern says.
function look(kind, where, schema) {
    if (schema === null || typeof schema !== 'object') return;
    const types = [].concat(schema.type || []);
    const scalar = types.some((t) => ['string', 'number', 'boolean'].includes(t));
    const wrong = (why) => { failures++; console.log(`${kind} ${where}: ${why}`); };
    if (scalar && !['string', 'number', 'boolean', 'null'].every((t) => types.includes(t))) wrong('a scalar of fewer types');
    if ('pattern' in schema && !scalar) wrong('a pattern without types');
    for (const [key, value] of Object.entries(schema.properties || {})) {
        keys++;
        if (!value.description) wrong(`${key} has no description`);
    }
    for (const [key, value] of Object.entries(schema)) look(kind, `${where}/${key}`, value);
}
for (const kind of ['batch', 'cellar', 'plant']) {
    const schema = JSON.parse(fs.readFileSync(path.join(schemas, kind + '.json'), 'utf8'));
    if (schema.$schema !== 'https://json-schema.org/draft/2020-12/schema') throw new Error(`${kind}: $schema`);
    look(kind, '', schema);
    takes[kind] = ajv.compile(schema);
}

function* filesBelow(folder) {
    for (const entry of fs.readdirSync(folder, { withFileTypes: true })) {
        const name = path.join(folder, entry.name);
        if (entry.isDirectory()) yield* filesBelow(name);
        else if (entry.name.endsWith('.yaml')) yield name;
    }
}

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
console.log(`note: schema: ${seen} documents through ajv, ${keys} keys, ${failures} wrong`);
process.exit(failures > 0 ? 1 : 0);
