import type { Editable, Values } from '../file/editable.js';
import { type AccessorUser, usedAccessor } from '../json/accessor-users.js';
import { skinnedMeshes } from './joint-references.js';

/**
 * Takes slots out of skins: joint lists, inverse bind matrices, and the joint indices of every mesh that
 * the skins move. No vertex may have weight on such a slot, and no mesh be moved by two skins whose
 * slots go differently. What several skins or meshes shared stays shared by those that go alike.
 *
 * @param dropped By skin, the slots that go.
 */
export function dropSlots(edit: Editable, dropped: ReadonlyMap<number, ReadonlySet<number>>): void {
  const { json } = edit;
  const writes = new Map<string, { users: AccessorUser[]; values: Values }>();
  const plan = (user: AccessorUser, how: string, change: (stored: Values) => Values): void => {
    const key = `${usedAccessor(json, user)} ${how}`;
    const write = writes.get(key);
    const stored = edit.read(user);
    if (write !== undefined) write.users.push(user);
    else if (stored !== null) writes.set(key, { users: [user], values: change(stored) });
  };
  const done = new Set<number>();
  for (const { mesh, skin } of skinnedMeshes(json)) {
    const gone = dropped.get(skin);
    if (gone === undefined || done.has(mesh)) continue;
    done.add(mesh);
    const count = json.skins?.[skin]?.joints.length ?? 0;
    let next = 0;
    // A slot that is gone has no weight, and becomes 0.
    const renumbered = Array.from({ length: count }, (_, slot) => (gone.has(slot) ? 0 : next++));
    json.meshes?.[mesh]?.primitives.forEach(({ attributes }, primitive) => {
      for (const name of Object.keys(attributes))
        if (/^JOINTS_\d+$/.test(name))
          plan({ kind: 'attribute', mesh, primitive, name }, `${count} ${[...gone]}`, (stored) =>
            // An index past the joints stays past them, so that it is still found.
            stored.map((slot) => renumbered[slot] ?? slot),
          );
    });
  }
  for (const [skin, gone] of dropped) {
    plan({ kind: 'inverse bind', skin }, `${[...gone]}`, (stored) =>
      stored.filter((_, at) => !gone.has(Math.floor(at / 16))),
    );
    const skinJson = json.skins?.[skin];
    if (skinJson !== undefined)
      skinJson.joints = skinJson.joints.filter((_, slot) => !gone.has(slot));
  }
  for (const { users, values } of writes.values()) edit.writeAll(users, values);
}
