/** Names for the meshes of a rig, as people call them, each its own; none by its index in the file. */
export class PartLabels {
  private readonly seen = new Map<string, number>();

  /** @param name What the file calls the node or its mesh; undefined for neither. */
  next(name: string | undefined): string {
    const known = name ?? 'unnamed mesh';
    const repeat = (this.seen.get(known) ?? 0) + 1;
    this.seen.set(known, repeat);
    return repeat > 1 ? `${known}[${repeat}]` : known;
  }
}
