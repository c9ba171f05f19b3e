import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Logger, NodeIO } from '@gltf-transform/core';
import { ALL_EXTENSIONS } from '@gltf-transform/extensions';
import { AssetError } from '../../src/asset/errors.js';
import { checkAsset } from '../../src/check/check-asset.js';
import { mendText } from '../../src/cli/mend/mend-words.js';
import { type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import type { Mutant } from './mutant.js';
import { faultsOf, slipIn } from './report-faults.js';
import type { Step, Stepped, Subject } from './step.js';

/** `trysquare mend`, with its proof, and what it would write read back. */
export const mendStep: Step = {
  name: 'mend',
  async work(subject) {
    const { mutant, path, settings } = subject;
    let result: MendResult;
    try {
      result = await mendAsset(path, settings, REPAIRS, {
        name: `mutant.${mutant.ending}`,
        stem: 'mended',
        ...mutant.mend,
      });
    } catch (error) {
      if (!(error instanceof AssetError)) throw error;
      const words = [error.reason, error.where ?? ''].join(' ');
      return () => ({ outcome: 'unreadable', faults: slipIn('reason', words) });
    }
    const text = mendText(result, 80);
    return () => look(subject, result, text);
  },
};

async function look(subject: Subject, result: MendResult, text: string): Promise<Stepped> {
  const { before, after, changes, offending, isTurned, proof, allowed } = result;
  const faults = [...faultsOf(before), ...faultsOf(after), ...slipIn('plan', text)];
  if (offending !== null || !isTurned) return { outcome: 'nothing written', faults };
  if (isSeen(proof) && allowed.length === 0)
    faults.push(`is written although ${proof.share} of the size, ${proof.turn} degrees show`);
  if (changes.length === 0) return { outcome: 'nothing to mend', faults };
  // As the command does.
  if (before.verdict === 'sound' && after.verdict !== 'sound' && isUnasked(subject.mutant))
    return { outcome: 'not written, as it would be unsound', faults };
  faults.push(...(await readBack(subject, result)));
  return { outcome: 'mended', faults };
}

/** What is wrong with the file that was made, as a check of it finds, and a reader that is not ours. */
async function readBack(
  { mutant, path, folder, settings }: Subject,
  { before, after, files }: MendResult,
): Promise<string[]> {
  // In its folder, as the command asks for where it goes on leading to files beside it.
  const made = join(folder, `mended.${mutant.ending}`);
  writeFileSync(made, files.main);
  for (const [name, bytes] of files.buffers) writeFileSync(join(folder, name), bytes);
  const again = await checkAsset(made, { settings, name: before.path });
  const faults: string[] = [];
  if (again.unreadable !== null)
    return [`what it writes cannot be read: ${again.unreadable.reason}`];
  const [told, read] = [after, again].map(({ findings }) =>
    findings.map(({ rule, place, message }) => `${rule} ${place.path} ${message}`).join('\n'),
  );
  if (told !== read)
    faults.push(`tells other findings of the mended rig than a check of it:\n${told}\n--\n${read}`);
  if (await isReadElsewhere(path)) {
    const reason = await readElsewhere(made);
    if (reason !== null) faults.push(`what it writes cannot be read elsewhere: ${reason}`);
  }
  return faults;
}

/** Whether the mend was asked for nothing that makes another rig of it. */
function isUnasked({ mend }: Mutant): boolean {
  return (mend.restFrom ?? null) === null && !mend.convention && mend.allow?.length === 0;
}

const io = new NodeIO()
  .registerExtensions(ALL_EXTENSIONS)
  // It tells of every unknown extension.
  .setLogger(new Logger(Logger.Verbosity.SILENT));

async function isReadElsewhere(path: string): Promise<boolean> {
  return (await readElsewhere(path)) === null;
}

/** Why @gltf-transform cannot read a file; null where it can. */
async function readElsewhere(path: string): Promise<string | null> {
  try {
    await io.read(path);
    return null;
  } catch (error) {
    return String(error);
  }
}
