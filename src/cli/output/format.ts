import type { Settings } from '../../check/settings.js';
import type { ReportStream } from '../../report/report-stream.js';
import type { ReportHead } from '../../report/report-types.js';
import type { Io } from '../io.js';

/**
 * What a format shows of an asset besides its report, made only where a format asks for it: the hash
 * and the text of the file, the time the check took, pictures, or its transforms and clips.
 */
export type Need = 'content' | 'times' | 'pictures' | 'transforms';

/** A format of a report. One file each in `formats/`; `formats/index.ts` lists them. */
export interface Format {
  /** As `--format` takes it. */
  readonly name: string;
  /** Endings of the names of such files, without the point. */
  readonly endings: readonly string[];
  /** For whom it is, and what it shows them, in one sentence of Markdown. */
  readonly tells: string;
  readonly needs?: readonly Need[];
  /**
   * Whether it has names without escapes, as a table does: build services read orders in its lines, so
   * the marks of such orders are taken apart as it is written. A format like JSON escapes them itself.
   */
  readonly isUnescaped?: boolean;
  /** Whether a person reads it as it comes, so that nothing in it is said again on standard error. */
  readonly isRead?: boolean;
  /** Whether it leads to the handbook. */
  readonly leads?: boolean;
  /** Options that shape it alone. */
  readonly options?: readonly FormatOption[];
  /** Opens its writer, whose code is loaded here: a run writes few formats. Throws UsageError. */
  open(head: ReportHead, context: StreamContext): Promise<ReportStream>;
}

export interface FormatOption {
  readonly key: keyof OutputFlags;
  /** As the parser takes it: `--base <dir>`. */
  readonly flags: string;
  readonly help: string;
  readonly choices?: readonly string[];
  /** What the format needs where it is given; no option of a command that only has reports. */
  readonly asksFor?: Need;
  /** What is said where its format is not asked for. */
  readonly refusal: string;
}

/** Options that say where reports go and in which format. */
export interface OutputFlags {
  readonly format?: string;
  readonly sarifFor?: 'standard' | 'code-scanning';
  /** The folder that paths in SARIF are relative to, as given. */
  readonly base?: string;
  readonly transforms?: boolean;
  /** Address or file of the handbook, as given. */
  readonly handbook?: string;
  readonly out?: readonly string[];
  readonly replace?: boolean;
  readonly eachRule?: boolean;
  readonly showWaivers?: boolean;
  readonly quiet?: boolean;
  readonly colour: 'never' | 'auto' | 'always';
}

/** One report to write; `path` is null for standard output. */
export interface Target {
  readonly format: Format;
  readonly path: string | null;
  /** As the user knows it. */
  readonly shown: string;
}

/** What the writers need besides the report. */
export interface RunContext {
  readonly flags: OutputFlags;
  readonly settings: Settings;
  /** JSON texts of `.gltf` assets by path, filled as they are checked. */
  readonly texts: ReadonlyMap<string, string>;
  /** Names of all assets of the run, in order. */
  readonly names: readonly string[];
  readonly io: Io;
}

export type StreamContext = RunContext & { readonly target: Target };
