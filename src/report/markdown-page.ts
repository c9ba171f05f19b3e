/** Blocks of Markdown, as many as fit; each is taken whole or not at all. */
export class MarkdownPage {
  readonly #blocks: string[] = [];

  /** @param room Letters that still fit. */
  constructor(public room: number) {}

  /** Adds a block and an empty line after it; false when there is no room. */
  add(block: string): boolean {
    return this.addList('', [block]) === 1;
  }

  /**
   * Adds items, a line each, below a title; returns how many of them fit. It takes one more at most,
   * so that thousands of others need not be made.
   *
   * @param summary Folds the items until they are asked for; words of ours only.
   * @param head Comes before the items that are folded.
   */
  addList(title: string, items: Iterable<string>, summary = '', head = ''): number {
    // Readers take the lines up to the next empty one as HTML, and Markdown again after it.
    const fold = `<details>\n<summary>${summary}</summary>\n\n${head}`;
    const [opening, closing] = summary === '' ? [title, ''] : [`${title}${fold}`, '\n\n</details>'];
    let room = this.room - opening.length - closing.length - 1;
    const taken: string[] = [];
    for (const item of items) {
      room -= item.length + 1;
      if (room < 0) break;
      taken.push(item);
    }
    if (taken.length > 0) this.#push(`${opening}${taken.join('\n')}${closing}\n`);
    return taken.length;
  }

  /** Adds what is on another page, which was made no larger than the room here. */
  addPage(other: MarkdownPage): void {
    for (const block of other.#blocks) this.#push(block);
  }

  #push(block: string): void {
    this.#blocks.push(block);
    this.room -= block.length + 1;
  }

  toString(): string {
    return this.#blocks.join('\n');
  }
}
