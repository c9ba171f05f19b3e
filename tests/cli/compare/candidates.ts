import { type Document, NodeIO } from '@gltf-transform/core';

const io = new NodeIO();

/** An asset whose nodes have other names. */
export async function renamed(
  bytes: Uint8Array,
  names: Readonly<Record<string, string>>,
): Promise<Uint8Array> {
  return io.writeBinary(rename(await io.readBinary(bytes), names));
}

/** The nodes and clips of an asset and nothing else, as a library keeps them. */
export async function clipsAlone(
  bytes: Uint8Array,
  names: Readonly<Record<string, string>> = {},
): Promise<Uint8Array> {
  const document = rename(await io.readBinary(bytes), names);
  const root = document.getRoot();
  for (const part of [...root.listSkins(), ...root.listMeshes(), ...root.listMaterials()])
    part.dispose();
  return io.writeBinary(document);
}

function rename(document: Document, names: Readonly<Record<string, string>>): Document {
  for (const node of document.getRoot().listNodes())
    node.setName(names[node.getName()] ?? node.getName());
  return document;
}
