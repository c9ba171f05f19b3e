import type { Artifact, ArtifactLocation, Region } from 'sarif';
import type { AssetReport } from './report-types.js';
import { artifactUri, type UriBase } from './sarif-uri.js';
import { slashes } from './slashes.js';
import { TextIndex } from './text-index.js';

/** One asset as the rest of the log refers to it. */
export interface AssetArtifact {
  readonly location: ArtifactLocation;
  readonly kind: 'glb' | 'gltf';
  /** Whether the same file was listed before. */
  readonly repeated: boolean;
  /** The JSON chunk of a `.glb` that was read. */
  readonly jsonChunk: Region | null;
  /** Lines and columns of a `.gltf`; read at the first call, null where there is no text. */
  text(): TextIndex | null;
}

/** Collects `run.artifacts`, whose elements are unique (3.14.15): one URI, one artifact. */
export class ArtifactTable {
  readonly list: Artifact[] = [];
  readonly #indices = new Map<string, number>();

  constructor(
    private readonly base: UriBase & { readonly baseId: string | null },
    private readonly textOf: (assetPath: string) => string | null,
  ) {}

  add(asset: AssetReport): AssetArtifact {
    const { path, container } = asset;
    // The first bytes say what a file is; where they could not be read, its name has to.
    const kind = container?.kind ?? (/\.gltf$/i.test(path) ? 'gltf' : 'glb');
    const uri = artifactUri(path, this.base, kind);
    const location = path === '-' ? { uri } : this.#locationAt(uri);
    const repeated = this.#indices.has(uri);
    const index = this.#indexOf(uri, () => artifactsOf(asset, kind, location, this.list.length));
    const json = container?.kind === 'glb' ? container.json : null;
    let text: TextIndex | null = null;
    return {
      location: { ...location, index },
      kind,
      repeated,
      jsonChunk: json && { byteOffset: json.offset, byteLength: json.length },
      text: () => {
        const content = kind === 'gltf' && text === null ? this.textOf(path) : null;
        if (content !== null) text = new TextIndex(content);
        return text;
      },
    };
  }

  /** The location of a ledger, a file of the house that the run was checked against. */
  addLedger(path: string): ArtifactLocation {
    // A path of `-` is a file here.
    const uri = artifactUri(path === '-' ? './-' : slashes(path), this.base, 'gltf');
    const location = this.#locationAt(uri);
    const roles: Artifact['roles'] = ['userSpecifiedConfiguration'];
    const index = this.#indexOf(uri, () => [{ location, roles, encoding: 'UTF-8' }]);
    return { ...location, index };
  }

  #indexOf(uri: string, artifacts: () => readonly Artifact[]): number {
    const index = this.#indices.get(uri) ?? this.list.length;
    if (index === this.list.length) this.list.push(...artifacts());
    this.#indices.set(uri, index);
    return index;
  }

  /** Base and reference are only put together (3.4.4), so that what lies outside has no base. */
  #locationAt(uri: string): ArtifactLocation {
    const { baseId } = this.base;
    return baseId === null || /^(\.\.\/|file:)/.test(uri) ? { uri } : { uri, uriBaseId: baseId };
  }
}

function artifactsOf(
  { path, container, standard }: AssetReport,
  kind: 'glb' | 'gltf',
  location: ArtifactLocation,
  index: number,
): Artifact[] {
  const file: Artifact = {
    location: { ...location },
    roles: path === '-' ? ['analysisTarget', 'standardStream'] : ['analysisTarget'],
    mimeType: kind === 'glb' ? 'model/gltf-binary' : 'model/gltf+json',
    // Absent for a binary artifact (3.24.9).
    ...(kind === 'gltf' && { encoding: 'UTF-8' }),
    ...(container && { length: container.bytes }),
    ...(container?.sha256 != null && { hashes: { 'sha-256': container.sha256 } }),
    // A property of our own (3.8): SARIF has none for what one artifact alone was held to.
    ...(standard && {
      properties: {
        standard: standard.path,
        ...(standard.above && { standardAbove: standard.above }),
      },
    }),
  };
  if (container?.kind !== 'glb') return [file];
  const { offset, length } = container.json;
  // Only an offset leads to the chunk, so it has no location of its own (3.24.2, 3.24.3).
  const mimeType = 'model/gltf+json';
  return [file, { parentIndex: index, offset, length, mimeType, encoding: 'UTF-8' }];
}
