import { type Document, NodeIO } from '@gltf-transform/core';
import { mergeDocuments, unpartition } from '@gltf-transform/functions';

const io = new NodeIO();

/** Other names for some nodes, or how each gets one. */
type Names = Readonly<Record<string, string>> | ((name: string) => string);

/** An asset whose nodes have other names. */
export async function renamed(bytes: Uint8Array, names: Names): Promise<Uint8Array> {
  return io.writeBinary(rename(await io.readBinary(bytes), names));
}

/** The nodes and clips of an asset and nothing else, as a library keeps them. */
export async function clipsAlone(bytes: Uint8Array, names: Names = {}): Promise<Uint8Array> {
  const document = rename(await io.readBinary(bytes), names);
  const root = document.getRoot();
  for (const part of [...root.listSkins(), ...root.listMeshes(), ...root.listMaterials()])
    part.dispose();
  return io.writeBinary(document);
}

/** Several assets in one file and one scene. */
export async function together(first: Uint8Array, ...others: Uint8Array[]): Promise<Uint8Array> {
  const document = await io.readBinary(first);
  for (const bytes of others) mergeDocuments(document, await io.readBinary(bytes));
  const [scene, ...scenes] = document.getRoot().listScenes();
  for (const other of scenes) {
    for (const node of other.listChildren()) scene?.addChild(node);
    other.dispose();
  }
  await document.transform(unpartition());
  return io.writeBinary(document);
}

function rename(document: Document, names: Names): Document {
  const nameOf = typeof names === 'function' ? names : (name: string) => names[name] ?? name;
  for (const node of document.getRoot().listNodes()) node.setName(nameOf(node.getName()));
  return document;
}
