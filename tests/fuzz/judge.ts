import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { rules } from '../../rules/index.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import { EXTERNAL_NAME, type Mutant } from './mutant.js';
import { type Step, type Subject, type Timed, timed } from './step.js';
import { checkStep } from './step-check.js';
import { drawStep } from './step-draw.js';
import { gradeStep } from './step-grade.js';
import { mendStep } from './step-mend.js';
import { pageStep } from './step-page.js';

/** What came of one mutant. */
export interface Judgement {
  /** By the name of the step. */
  readonly steps: Readonly<Record<string, Timed>>;
  /** What must never be, each as one sentence; empty when all is well. */
  readonly faults: readonly string[];
}

export const STEPS: readonly Step[] = [checkStep, drawStep, pageStep, gradeStep, mendStep];

/**
 * Takes a mutant through all that a user could do with it, and tells what must not be.
 *
 * @param folder A folder of its own, which is emptied.
 */
export async function judge(mutant: Mutant, folder: string): Promise<Judgement> {
  const subject = store(mutant, folder);
  const steps: Record<string, Timed> = {};
  for (const step of STEPS) steps[step.name] = await timed(step, subject);
  return { steps, faults: Object.values(steps).flatMap(({ faults }) => faults) };
}

function store(mutant: Mutant, folder: string): Subject {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const path = join(folder, `mutant.${mutant.ending}`);
  writeFileSync(path, mutant.main);
  if (mutant.external !== null) writeFileSync(join(folder, EXTERNAL_NAME), mutant.external);
  return { mutant, folder, path, settings: settingsFor(mutant) };
}

function settingsFor({ motion, axes }: Mutant): Settings {
  const wanted = axes
    ? ({ aim: { index: 1, sign: 1 }, up: { index: 2, sign: 1 } } as const)
    : { aim: null, up: null };
  return { ...defaultSettings(rules), motion, wanted };
}
