import { readFileSync } from 'node:fs';
import type { LoadedModule } from '../../src/check/own-rules.js';
import * as library from '../../src/index.js';

const LIBRARY = Symbol.for('trysquare.library.tested');

/**
 * Imports a module that imports from `trysquare` alone, and hands it the library as it stands in the
 * source. How the built command does that is tested with the built command.
 */
export async function loadFromSource(path: string): Promise<LoadedModule> {
  // Any object has room for a symbol of our own.
  (globalThis as { [LIBRARY]?: typeof library })[LIBRARY] = library;
  const text = readFileSync(path, 'utf8').replace(
    /^import \{([^}]*)\} from 'trysquare';$/gm,
    "const {$1} = globalThis[Symbol.for('trysquare.library.tested')];",
  );
  const exports: unknown = await import(
    /* @vite-ignore */ `data:text/javascript,${encodeURIComponent(text)}`
  );
  // A module is an object of its exports.
  return { exports: exports as LoadedModule['exports'], files: [path] };
}

/** What every rule of a test needs and none looks at. */
const WORDS =
  "title: 'a prop of many joints', why: 'Nobody can carry it.', formula: 'The joints of the rig are counted.', remedy: 'Take joints out.', source: 'common practice'";

/** A module with `prop.joints`, which finds fault with every puppet: none has less than 6 joints. */
export const PROPS = `import { judged, rule } from 'trysquare';

export const joints = rule({
  id: 'prop.joints', level: 'warning', ${WORDS},
  limits: { joints: { default: 5, unit: 'joints', tells: 'joints of a prop' } },
  check({ rig }, { joints }) {
    const { count } = rig.joints;
    if (count <= joints) return judged('rigs', 1, []);
    const place = { kind: 'rig' };
    return judged('rigs', 1, [{ level: 'warning', place, measured: count, limit: joints, unit: 'joints', details: null }]);
  },
  say: ({ measured, limit }) => ({ message: \`The prop has \${measured} joints (limit \${limit}).\`, remedy: 'Take joints out.' }),
});
`;

/** A module with one rule whose functions are as given. */
export function moduleWith(code: string, id = 'prop.wheel'): string {
  return `import { assetRule, judged, notApplicable, rule } from 'trysquare';
const place = { kind: 'rig' };
const finding = { level: 'note', place, measured: 1, limit: 0, unit: 'joints', details: null };
const said = { message: 'It has a wheel.', remedy: 'Take it off.' };
export default rule({ id: '${id}', level: 'note', ${WORDS}, limits: {}, check: () => judged('rigs', 1, [finding]), say: () => said, ${code} });
`;
}
