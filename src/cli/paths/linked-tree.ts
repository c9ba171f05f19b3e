import { type Dirent, readdirSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { explain } from '../../asset/byte-source.js';
import type { MachineError } from '../../asset/errors.js';
import { outOfFiles } from '../../asset/open-files.js';
import { isWithin, linkEnd, targetOf } from './link-end.js';

/** What a search has to know of an entry of a folder. */
type Entry = Pick<Dirent, 'name' | 'isFile' | 'isDirectory' | 'isSymbolicLink'>;

/** A folder on the way of a search. */
interface Folder {
  readonly real: string;
  readonly above: Folder | null;
  readonly isLink: boolean;
  /** Whether it is a link, or lies below one. */
  readonly viaLink: boolean;
}

/** Folders read again through another link: links that cross double them at every step. */
const MOST_READ_AGAIN = 2000;

const TOO_OFTEN = `links lead to the same folders more than ${MOST_READ_AGAIN} times, and the rest was not searched; name the folders themselves`;

/**
 * A folder with all below, as a search is to see it: a link to a file or folder within stands for what
 * it leads to. Where the search comes to something else that is no file, the reason why it is not
 * looked into is kept, so that nothing is passed over in silence.
 */
export class LinkedTree {
  /** Folders that the search wanted to look into and could not, with the reason. */
  readonly closed = new Map<string, string>();
  /** What looks like a file and may not be read, with the reason. */
  readonly noFiles = new Map<string, string>();
  /** Why the search as a whole failed. */
  trouble: MachineError | null = null;
  /** Links to files, with the real path of the file. */
  readonly linked = new Map<string, string>();
  private readonly inside: string[];
  private readonly folders = new Map<string, Folder>();
  private readonly readByLink = new Set<string>();
  private readAgain = 0;

  /** For the parameters see `SearchOptions`. */
  constructor(
    inside: readonly string[],
    private readonly leavesOut: (path: string) => boolean,
  ) {
    this.inside = [...inside];
  }

  /** The entries of a folder, in an order that is the same on every machine. Throws nothing. */
  read(given: string): Entry[] {
    const path = resolve(given);
    const folder = this.folders.size === 0 ? this.root(path) : this.folders.get(path);
    if (folder === undefined) return this.close(path, this.noFiles.get(path));
    if (folder.isLink && this.leavesOut(path)) return [];
    const reason = this.whyClosed(path, folder);
    if (reason !== undefined) return this.close(path, reason);
    if (folder.viaLink && this.isTooOften(folder.real))
      return this.close(path, this.readAgain === MOST_READ_AGAIN + 1 ? TOO_OFTEN : undefined);
    try {
      return readdirSync(path, { withFileTypes: true })
        .sort((a, b) => (a.name < b.name ? -1 : 1))
        .flatMap((entry) => this.entry(join(path, entry.name), entry, folder));
    } catch (error) {
      this.trouble ??= outOfFiles(error);
      return this.close(path, `the folder cannot be searched: ${explain(error)}`);
    }
  }

  /** Where something lies by its real folder, and whether a link to a folder leads there. */
  placeOf(path: string): { readonly place: string; readonly viaLink: boolean } {
    const folder = this.folders.get(dirname(path));
    return folder === undefined
      ? { place: path, viaLink: false }
      : { place: join(folder.real, basename(path)), viaLink: folder.viaLink };
  }

  private close(path: string, reason: string | undefined): [] {
    if (reason !== undefined) this.closed.set(path, reason);
    return [];
  }

  /** The folder that a search begins with; undefined where there is none, so that nothing is found. */
  private root(path: string): Folder | undefined {
    const end = linkEnd(path);
    if (end.kind !== 'folder') return undefined;
    this.inside.push(end.real);
    const folder = { real: end.real, above: null, isLink: false, viaLink: false };
    this.folders.set(path, folder);
    return folder;
  }

  /** Why a link to a folder is not followed; undefined for one that is, and for what is no link. */
  private whyClosed(path: string, { real, above, isLink }: Folder): string | undefined {
    if (!isLink || above === null) return undefined;
    if (!this.isInside(real))
      return `it is a link to a folder outside the folders that are searched${targetOf(path)}; name that folder, too`;
    return isWithin(above.real, real)
      ? `it is a link back to a folder that contains it${targetOf(path)}; remove the link`
      : undefined;
  }

  private isTooOften(real: string): boolean {
    if (this.readByLink.has(real)) this.readAgain++;
    else this.readByLink.add(real);
    return this.readAgain > MOST_READ_AGAIN;
  }

  private isInside(real: string): boolean {
    return this.inside.some((folder) => isWithin(real, folder));
  }

  private entry(path: string, entry: Dirent, above: Folder): Entry[] {
    if (entry.isSymbolicLink()) return this.link(path, above);
    if (entry.isDirectory()) {
      const real = join(above.real, entry.name);
      this.folders.set(path, { real, above, isLink: false, viaLink: above.viaLink });
    } else if (!entry.isFile()) {
      this.noFiles.set(path, 'it is not a regular file');
      return [asFile(entry.name)];
    }
    return [entry];
  }

  private link(path: string, above: Folder): Entry[] {
    const end = linkEnd(path);
    const name = basename(path);
    if (end.kind === 'nothing') {
      this.noFiles.set(path, end.reason);
      // It may have been either: it is reported where the search wants one of them.
      return [asFile(name), asFolder(name)];
    }
    if (end.kind === 'folder') {
      // Back at a folder on the way: what is there was found already.
      if (isOnWay(end.real, above) && !isWithin(above.real, end.real)) return [];
      this.folders.set(path, { real: end.real, above, isLink: true, viaLink: true });
      return [asFolder(name)];
    }
    if (end.kind === 'file') this.linked.set(path, end.real);
    if (end.kind === 'other')
      this.noFiles.set(path, 'it is a link to something that is not a regular file');
    else if (!this.isInside(end.real))
      this.noFiles.set(
        path,
        `it is a link to a file outside the folders that are searched${targetOf(path)}; name the file itself, or a folder that contains both`,
      );
    return [asFile(name)];
  }
}

function isOnWay(real: string, folder: Folder | null): boolean {
  return folder !== null && (folder.real === real || isOnWay(real, folder.above));
}

const no = (): boolean => false;
const yes = (): boolean => true;

function asFile(name: string): Entry {
  return { name, isFile: yes, isDirectory: no, isSymbolicLink: no };
}

function asFolder(name: string): Entry {
  return { name, isFile: no, isDirectory: yes, isSymbolicLink: no };
}
