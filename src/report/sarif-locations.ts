import type { Location, Region } from 'sarif';
import type { AssetArtifact } from './sarif-artifacts.js';
import type { LogicalTable } from './sarif-logical.js';

/**
 * Who reads the log: `standard` keeps to the letter of SARIF 2.1.0; `code-scanning` serves hosted
 * services that place each alert on a line.
 */
export type SarifTarget = 'standard' | 'code-scanning';

/** Where in a file something is. */
export interface Spot {
  /** Node index in the file, where there is one. */
  readonly node: number | null;
  /** JSON pointer; empty for the whole document. */
  readonly pointer: string;
}

/**
 * A place in an asset that was read.
 *
 * A binary artifact takes a byte region and no text region (3.30.1): the JSON chunk of a `.glb`.
 * Services want a line all the same, so for them a `.glb` has one line a node, the node with index
 * 0 on line 1, and its byte region goes to the result's properties. Some services merge results
 * that are alike in rule, file and line, and by this no two joints ever share a line.
 */
export function regionOf(asset: AssetArtifact, spot: Spot, target: SarifTarget): Region | null {
  if (asset.kind === 'glb') {
    return target === 'standard' ? asset.jsonChunk : { startLine: 1 + (spot.node ?? 0) };
  }
  const pointer = spot.pointer === '' && spot.node !== null ? `/nodes/${spot.node}` : spot.pointer;
  const region = asset.text()?.region(pointer) ?? null;
  return target === 'standard' ? region : (region ?? { startLine: 1 });
}

/** Where reading an asset stopped, from the words of the error: a line, a byte or a pointer. */
export function unreadableRegion(
  asset: AssetArtifact,
  where: string | null,
  target: SarifTarget,
): Region | null {
  const none = target === 'standard' ? null : { startLine: 1 };
  if (where === null) return none;
  const [, line, column] = /^line (\d+), column (\d+)$/.exec(where) ?? [];
  if (asset.kind === 'gltf') {
    if (line !== undefined && column !== undefined)
      return { startLine: Number(line), startColumn: Number(column) };
    if (where.startsWith('/')) return regionOf(asset, { node: null, pointer: where }, target);
  }
  const byte = /^byte (\d+)$/.exec(where)?.[1];
  if (byte === undefined || target === 'code-scanning') return none;
  return { byteOffset: Number(byte), byteLength: 0 };
}

/** One location of a result, with the logical locations of these indices. */
export function locationOf(
  asset: AssetArtifact,
  region: Region | null,
  logical: LogicalTable,
  indices: readonly (number | null)[],
): Location {
  const named = indices.flatMap((index) => (index === null ? [] : [logical.at(index)]));
  return {
    physicalLocation: {
      artifactLocation: { ...asset.location },
      ...(region && { region: { ...region } }),
    },
    ...(named.length > 0 && { logicalLocations: named }),
  };
}
