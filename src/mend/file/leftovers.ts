import { extentOf } from '../json/accessor-bytes.js';
import { countUsers, renumber } from '../json/accessor-users.js';
import type { AccessorJson, GltfJson } from '../json/gltf-json.js';
import { type Stretch, viewsOf } from '../json/packing.js';
import type { Unpacking } from '../packing/packing-undone.js';

/**
 * Takes out what a mend left unused: accessors that nothing names any longer, and their bytes. What
 * nothing named when the file was opened stays, since somebody may have put it there. Accessors keep
 * their index, which unknown extensions may know, but for those that the mend added: these fill gaps.
 */
export class Leftovers {
  private readonly wasUsed: readonly boolean[];

  constructor(
    private readonly json: GltfJson,
    private readonly unpacking: Unpacking,
  ) {
    this.wasUsed = countUsers(json).map((count) => count > 0);
  }

  /** @param moved Called for each accessor that gets another index. */
  take(moved: (from: number, to: number) => void): void {
    const { accessors } = this.json;
    if (accessors === undefined) return;
    const counts = countUsers(this.json);
    const gaps: number[] = [];
    counts.forEach((count, index) => {
      if (count > 0 || this.wasUsed[index] === false) return;
      gaps.push(index);
      const accessor = accessors[index];
      if (accessor?.bufferView === undefined && accessor?.sparse === undefined) return;
      const stretches = stretchesIn(this.json, accessor);
      // An accessor of zeros, which takes no bytes (glTF 2.0, 5.1.1), and from here on names no view.
      const { componentType, count: elements, type } = accessor;
      accessors[index] = { componentType, count: elements, type };
      this.unpacking.leave(this.json, viewsOf(accessor), stretches);
    });
    // A gap at the end goes; another is filled by what the mend added last.
    while (gaps.length > 0) {
      const end = accessors.length - 1;
      const last = accessors[end];
      if (last === undefined || (gaps.at(-1) !== end && end < this.wasUsed.length)) break;
      const gap = gaps.at(-1) === end ? gaps.pop() : gaps.shift();
      accessors.pop();
      if (gap === undefined || gap === end) continue;
      accessors[gap] = last;
      renumber(this.json, end, gap);
      moved(end, gap);
    }
  }
}

/** The bytes of an accessor, but for those of its sparse part. */
export function stretchesIn(json: GltfJson, accessor: AccessorJson): Stretch[] {
  const view = json.bufferViews?.[accessor.bufferView ?? -1];
  if (view === undefined) return [];
  const [from, to] = extentOf(accessor, view.byteStride);
  const start = view.byteOffset ?? 0;
  return [{ buffer: view.buffer, start: start + from, end: start + to }];
}
