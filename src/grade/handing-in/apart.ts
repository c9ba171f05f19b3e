import type { Settings } from '../../check/settings.js';
import { countLevels, isUnsound } from '../../check/verdict.js';
import { uniqueNames } from '../../report/file-names.js';
import type { AssetReport } from '../../report/report-types.js';

/** One animal of a hand-in that is marked by itself. */
export interface Animal {
  /** What is behind the name of the submission: the name of its file, or of its rig where the file has several. */
  readonly name: string;
  readonly asset: AssetReport;
  /** Which of the assets it is in. */
  readonly at: number;
  /** Which rig of it; null where the file has none, or could not be read. */
  readonly rig: number | null;
}

/** What stands between the name of a submission and that of its animal. */
export const ANIMAL = ': ';

/** What an animal is called in lists of the class. */
export function animalName(submission: string, animal: string): string {
  return `${submission}${ANIMAL}${animal}`;
}

/** Gives each animal of one hand-in a name of its own, or a number instead. */
export function animalNamer(numbered: boolean): (name: string) => string {
  const unique = uniqueNames((name, number) => `${name} ${number}`);
  let count = 0;
  return (name) => {
    count++;
    return unique(numbered || name.trim() === '' ? String(count) : name);
  };
}

/**
 * The rigs of a hand-in, each as if it were handed in alone: what was found of its file as a whole
 * counts for each of them.
 */
export function animalsOf(
  assets: readonly AssetReport[],
  failing: Settings['failing'],
  nameOf: (name: string) => string,
): Animal[] {
  return assets.flatMap((asset, at): Animal[] => {
    const file = asset.path.split('/').at(-1) ?? asset.path;
    const stem = file.replace(/\.[^.]{1,5}$/, '');
    if (asset.rigs.length === 0) return [{ name: nameOf(stem), asset, at, rig: null }];
    // The only rig of a file is known by the file: its own name is often that of its root.
    const isOnly = asset.rigs.length === 1;
    return asset.rigs.map((rig) => ({
      name: nameOf(isOnly ? stem : rig.name),
      asset: ofRig(asset, rig.index, failing),
      at,
      rig: rig.index,
    }));
  });
}

function ofRig(asset: AssetReport, index: number, failing: Settings['failing']): AssetReport {
  const rigs = asset.rigs.filter((rig) => rig.index === index);
  const findings = asset.findings.filter(({ rig }) => rig === index || rig === null);
  const counts = countLevels(findings);
  const verdict = isUnsound(counts, failing) ? 'unsound' : 'sound';
  return { ...asset, verdict, rigs, findings, counts };
}
