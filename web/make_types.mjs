// Makes the page's types of the schema document: make_types.mjs SHAPES.json OUT_FOLDER
//   shapes.ts   a type for each definition; `Functions` and `Routes` say what goes in and out
//   names.ts    the names of each closed set, for choices and checks
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { compile } from 'json-schema-to-typescript';

const [from, into] = process.argv.slice(2);
const document = JSON.parse(readFileSync(from, 'utf8'));
const banner = '// Made by make_types.mjs from the schema document of `dwell engine schema`. Not to be edited.';
// What the engine says has types of its own, made from the catalogue of messages.
document.$defs.Said = { tsType: "import('../../text/message').Said" };
document.$defs.Wording = { tsType: "import('../../text/message').Wording" };
const types = await compile(document, 'Dwell', {
  additionalProperties: false,
  bannerComment: banner,
  style: { singleQuote: true, printWidth: 160 },
  unreachableDefinitions: true,
});
// Which definition a type comes from is its name; the converter says so over every one again.
const plain = types.replace(/ \*\n \* This interface was referenced by `Dwell`'s JSON-Schema\n \* via the `definition` "[^"]*"\.\n/g, '').replace(/\/\*\*\n \* This interface was referenced by `Dwell`'s JSON-Schema\n \* via the `definition` "[^"]*"\.\n \*\/\n/g, '');

/** "access.Limb" is accessLimb. */
const constantOf = (name) => name.replace(/\.(.)/g, (_, letter) => letter.toUpperCase()).replace(/^./, (letter) => letter.toLowerCase());
const sets = Object.entries(document.$defs).filter(([, schema]) => schema.type === 'string' && Array.isArray(schema.enum));
const names = sets.map(([name, schema]) => `export const ${constantOf(name)} = ${JSON.stringify(schema.enum)} as const;`);

mkdirSync(into, { recursive: true });
writeFileSync(join(into, 'shapes.ts'), plain);
writeFileSync(join(into, 'names.ts'), [banner, ...names, ''].join('\n'));
