import type { Artifact, ArtifactLocation, Region } from 'sarif';
import type { AssetReport } from './report-types.js';
import { artifactUri, type UriBase } from './sarif-uri.js';
import { slashes } from './slashes.js';
import { indexText, type TextIndex } from './text-index.js';

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

export interface ArtifactTable {
  readonly list: Artifact[];
  add(asset: AssetReport): AssetArtifact;
  /** The location of a ledger, a file of the house that the run was held to. */
  addLedger(path: string): ArtifactLocation;
}

/** Collects `run.artifacts`, whose elements are unique (3.14.15): one URI, one artifact. */
export function artifactTable(
  base: UriBase & { readonly baseId: string | null },
  textOf: (assetPath: string) => string | null,
): ArtifactTable {
  const list: Artifact[] = [];
  const known = new Map<string, number>();
  // Base and reference are only put together (3.4.4), so that what lies outside has no base.
  const locationAt = (uri: string, isFile = true): ArtifactLocation =>
    base.baseId !== null && isFile && !/^(\.\.\/|file:)/.test(uri)
      ? { uri, uriBaseId: base.baseId }
      : { uri };
  return {
    list,
    add(asset) {
      const kind = asset.container?.kind ?? kindByName(asset.path);
      const uri = artifactUri(asset.path, base, kind);
      const location = locationAt(uri, asset.path !== '-');
      const before = known.get(uri);
      const index = before ?? list.length;
      if (before === undefined) {
        known.set(uri, index);
        for (const item of artifactsOf(asset, kind, location, index)) list.push(item);
      }
      const json = asset.container?.kind === 'glb' ? asset.container.json : null;
      return {
        location: { ...location, index },
        kind,
        repeated: before !== undefined,
        jsonChunk: json && { byteOffset: json.offset, byteLength: json.length },
        text: once(() => {
          const text = kind === 'gltf' ? textOf(asset.path) : null;
          return text === null ? null : indexText(text);
        }),
      };
    },
    addLedger(path) {
      // A path of `-` is a file here.
      const uri = artifactUri(path === '-' ? './-' : slashes(path), base, 'gltf');
      const index = known.get(uri) ?? list.length;
      if (!known.has(uri)) {
        known.set(uri, index);
        list.push({
          location: locationAt(uri),
          roles: ['userSpecifiedConfiguration'],
          encoding: 'UTF-8',
        });
      }
      return { ...locationAt(uri), index };
    },
  };
}

/** The first bytes say what a file is; where they could not be read, its name has to. */
function kindByName(path: string): 'glb' | 'gltf' {
  return /\.gltf$/i.test(path) ? 'gltf' : 'glb';
}

function artifactsOf(
  asset: AssetReport,
  kind: 'glb' | 'gltf',
  location: ArtifactLocation,
  index: number,
): Artifact[] {
  const { container } = asset;
  const file: Artifact = {
    location: { ...location },
    roles: asset.path === '-' ? ['analysisTarget', 'standardStream'] : ['analysisTarget'],
    mimeType: kind === 'glb' ? 'model/gltf-binary' : 'model/gltf+json',
    // Absent for a binary artifact (3.24.9).
    ...(kind === 'gltf' ? { encoding: 'UTF-8' } : {}),
    ...(container && { length: container.bytes }),
    ...(container?.sha256 != null && { hashes: { 'sha-256': container.sha256 } }),
  };
  if (container?.kind !== 'glb') return [file];
  // Only an offset leads to it, so it has no location of its own (3.24.2, 3.24.3).
  const chunk: Artifact = {
    parentIndex: index,
    offset: container.json.offset,
    length: container.json.length,
    mimeType: 'model/gltf+json',
    encoding: 'UTF-8',
  };
  return [file, chunk];
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}
