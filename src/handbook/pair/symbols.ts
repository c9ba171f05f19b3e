import { createHash } from 'node:crypto';
import type { ViewCell } from '../../draw/rig-layout.js';
import { element } from '../../draw/svg.js';
import { silhouettePaths } from '../../draw/view-picture.js';

/** The silhouettes that drawings refer to, each once: a fault hardly ever changes the mesh. */
export class Symbols {
  private readonly all = new Map<string, string>();

  /** Id of the symbol with this silhouette; null where the view shows no mesh. */
  readonly idOf = ({ silhouette }: ViewCell): string | null => {
    if (silhouette.body === '') return null;
    const paths = silhouettePaths(silhouette);
    const id = `body-${createHash('sha256').update(paths).digest('hex').slice(0, 10)}`;
    this.all.set(id, element('symbol', { id, overflow: 'visible' }, paths));
    return id;
  };

  /** Every symbol by its id. */
  byId(): Record<string, string> {
    return Object.fromEntries(this.all);
  }
}
