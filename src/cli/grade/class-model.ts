import { statSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import { AssetError, UsageError } from '../../asset/errors.js';
import { type ApprovedTask, approvedTask, readApproved } from '../../batch/approved-task.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { timeGuard } from '../../batch/time-guard.js';
import { checkAsset } from '../../check/check-asset.js';
import { hasMesh } from '../../check/pair-by-mesh.js';
import { counted, levelCounts } from '../../report/finding-words.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { ChosenSettings } from '../run/choose-settings.js';

/** The model that a class rigs, opened, and what is said of it once. */
export interface ClassModel {
  readonly task: ApprovedTask;
  readonly notes: readonly string[];
}

/** Rules of a faulty model that one line names. */
const NAMED = 5;

/**
 * Opens the model of a class: the one that is named, else that of the standard; null for none. What is
 * wrong with its own rig is told and changes nothing: places are compared with it, and its faults are not
 * those of the class. Throws UsageError where nothing can be laid over it.
 */
export async function openModel(
  named: string | undefined,
  { model: ofStandard, settings }: Pick<ChosenSettings, 'model' | 'settings'>,
  { cwd }: Io,
): Promise<ClassModel | null> {
  if (named === undefined && ofStandard === null) return null;
  const path = named === undefined ? (ofStandard?.path ?? '') : resolve(cwd, named);
  const name = slashes(named ?? relative(cwd, path));
  const lead =
    named === undefined && ofStandard !== null
      ? `the standard ${visible(ofStandard.standard)}: `
      : '';
  const fail = (fault: string): never => {
    throw new UsageError(`${lead}the model ${visible(name)} ${fault}`);
  };
  if (named === '-') throw new UsageError('--like reads no standard input; name a file');
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory() === true)
    return fail('is a folder; name the file with the rig of the model');
  const guard = timeGuard(DEFAULT_LIMITS.seconds);
  try {
    const task = await approvedTask({ path, name, clips: [], called: 'the model' });
    const { rigs } = (await readApproved(task, guard)).model;
    if (rigs.length === 0) return fail('has no rig: no mesh in it has a skin');
    const usable = rigs.filter(hasMesh);
    if (usable.length === 0)
      return fail('has a skin but no mesh with it; submissions are laid over its mesh');
    const { verdict, findings, counts } = await checkAsset(path, {
      settings: { ...settings, motion: false },
      name,
      guard,
    });
    const errors = findings.filter(({ level }) => level === 'error').map(({ rule }) => rule);
    const rules = [...new Set(errors)].slice(0, NAMED).join(', ');
    const notes = [
      verdict === 'unsound' &&
        `the model ${name} is itself unsound: ${levelCounts(counts)}${rules === '' ? '' : ` (${rules})`}. Submissions are compared with it all the same, and its faults do not count for them; "trysquare check" tells more`,
      usable.length > 1 &&
        `the model ${name} has ${counted(usable.length, 'rig')}: each submission is compared with all of them`,
    ];
    return { task, notes: notes.filter((note) => note !== false).map(visible) };
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    const where = error.where === null ? '' : ` (${error.where})`;
    throw new UsageError(visible(`${lead}${error.reason}${where}`));
  }
}
