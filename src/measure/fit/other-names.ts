import { fact } from '../facts.js';
import { type Counterpart, counterparts } from './counterparts.js';
import { matching } from './matching.js';

/** Joints that are there under another name, by how they were found. In joint order of this rig. */
export interface OtherNames {
  /** Their names are one but for prefix, side or number, or the VRM mapping of both names one bone. */
  readonly spelled: readonly Counterpart[];
  /** They stand in the place of a joint that is missing by name. */
  readonly stands: readonly Counterpart[];
  /** Left has the name of right and right that of left. */
  readonly exchanged: readonly Counterpart[];
}

export const otherNames = fact((facts): OtherNames => {
  const match = matching(facts);
  const found = counterparts(facts);
  if (match === null || found === null) return { spelled: [], stands: [], exchanged: [] };
  const inOrder = (list: readonly Counterpart[]): Counterpart[] =>
    [...list].sort((a, b) => a.joint - b.joint);
  const exchanged = found.exchanged
    .flat()
    .map((approved) => ({ approved, joint: found.ofApproved[approved] ?? -1 }));
  const crossed = new Set(exchanged.map(({ approved }) => approved));
  const { named } = match.approved.joints;
  const spelled = match.by.flatMap((by, approved): Counterpart[] => {
    // Joints without a name have none that could be another.
    const isOther = (by === 'parts' || by === 'mapping') && named[approved] === true;
    if (!isOther || crossed.has(approved)) return [];
    return [{ approved, joint: match.ofApproved[approved] ?? -1 }];
  });
  return { spelled: inOrder(spelled), stands: found.renamed, exchanged: inOrder(exchanged) };
});
