// A member renamed in C++ must fail the page's type check. The schema document is made of the C++ types, so a member is
// renamed there, as the build would find it; the page's types are made of that, and the page is checked against them.
//   renamed_member.mjs SHAPES.json FOLDER     the document (build/release/shapes.json), and where a copy of the page may lie
import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const web = fileURLToPath(new URL('../../web/', import.meta.url));
const [shapes, folder] = process.argv.slice(2);
/** What the page reads of an answer, what it sends, and a body of the server's own. */
const renamed = [['line.State', 'running'], ['line.PutOffAlternative', 'until'], ['server.Board', 'visits']];

const document = JSON.parse(readFileSync(shapes, 'utf8'));
for (const [of, member] of renamed) {
  const schema = document.$defs[of];
  if (schema?.properties?.[member] === undefined) throw new Error(`${of} has no ${member}; name another`);
  for (const form of [of, `${of}In`]) {
    const { properties, required } = document.$defs[form] ?? {};
    if (properties?.[member] === undefined) continue;
    properties[`${member}_renamed`] = properties[member];
    delete properties[member];
    if (required?.includes(member)) required[required.indexOf(member)] = `${member}_renamed`;
  }
}

rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
for (const name of ['src', 'tests', 'tsconfig.json', 'svelte.config.js', 'vite.config.ts', 'package.json']) cpSync(join(web, name), join(folder, name), { recursive: true });
symlinkSync(join(web, 'node_modules'), join(folder, 'node_modules'));
writeFileSync(join(folder, 'shapes.json'), JSON.stringify(document));
execFileSync(process.execPath, [join(web, 'make_types.mjs'), join(folder, 'shapes.json'), join(folder, 'src/engine/generated')]);
const checked = spawnSync(process.execPath, ['node_modules/svelte-check/bin/svelte-check', '--threshold', 'error', '--output', 'machine'], { cwd: folder, encoding: 'utf8' });
rmSync(folder, { recursive: true, force: true });

const said = checked.stdout + checked.stderr;
const missed = renamed.filter(([, member]) => !new RegExp(`ERROR .*['"]${member}['"]`).test(said));
if (checked.status === 0 || missed.length > 0) {
  console.error(`the page's type check did not notice: ${missed.map((one) => one.join('.')).join(', ') || 'anything'}`);
  console.error(said.split('\n').slice(0, 20).join('\n'));
  process.exit(1);
}
console.log(`${renamed.length} renamed members fail the page's type check, in ${(said.match(/ERROR /g) ?? []).length} places`);
