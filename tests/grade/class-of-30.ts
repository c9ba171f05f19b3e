import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faults } from '../../fixtures/faults/index.js';
import { writeFiles } from '../support/temp-folder.js';

export function named(at: number, ending = ''): string {
  return `submission-${String(at).padStart(2, '0')}${ending}`;
}

/** 27 rigs of the cast, sound and faulty, and 3 that nobody can read. */
export function classOf30(cwd: string): void {
  const broken = { '09.glb': buildGlb('mule').slice(0, 4000), '18.gltf': '{', '27.glb': '' };
  writeFiles(
    cwd,
    Object.fromEntries(
      Object.entries(broken).map(([at, bytes]) => [`class/submission-${at}`, bytes]),
    ),
  );
  const skinned = faults.filter(
    ({ rule, standardNames, standard }) =>
      rule !== 'file.no-skin' && !standardNames && standard === undefined,
  );
  for (let at = 1; at <= 30; at++) {
    if (at % 9 === 0) continue;
    const name = castNames[at % castNames.length] ?? 'heron';
    const fault = skinned[(at * 5) % skinned.length];
    const bytes =
      at % 3 === 0 || fault === undefined
        ? buildGlb(name)
        : buildGlb(fault.puppet, { faults: [fault], weights: fault.weights ?? 'float' });
    writeFileSync(join(cwd, 'class', named(at, '.glb')), bytes);
  }
}
