// The yardstick: a script that does nothing but read the file with @gltf-transform.
import { NodeIO } from '@gltf-transform/core';

await new NodeIO().read(process.argv[2]);
