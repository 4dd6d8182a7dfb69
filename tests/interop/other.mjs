// The other side of the interop test: loads a document that the project saved, says what it reads, edits it, and
// hands back its changes. It knows nothing of the project but the document's published shape.
import { readFileSync, writeFileSync } from 'node:fs';
import * as A from '@automerge/automerge';

const [, , saved, order, answer] = process.argv;
const wanted = JSON.parse(readFileSync(order, 'utf8'));
let doc = A.load(new Uint8Array(readFileSync(saved)));
const before = A.getHeads(doc);
const read = JSON.parse(JSON.stringify(doc));
const conflicts = A.getConflicts(doc.parts[wanted.part], 'position') ?? {};

doc = A.change(doc, { message: 'Edited by another implementation', time: 1900000000 }, (draft) => {
  draft.parts[wanted.part].number = new A.ImmutableString('JS 1');
  draft.parts[wanted.fresh] = { name: new A.ImmutableString('rear hub'), quantity: 2, use_once: true };
  A.splice(draft, ['sheets', wanted.sheet, 'text'], 0, 0, 'From elsewhere: ünïcode 🔧 first. ');
});
const edited = JSON.parse(JSON.stringify(doc));

const changes = A.getChangesSince ? A.getChangesSince(doc, before) : A.getChanges(A.view(doc, before), doc);
writeFileSync(
  answer,
  JSON.stringify({
    read,
    edited,
    conflicts: Object.values(conflicts).map(String).sort(),
    heads: A.getHeads(doc),
    changes: changes.map((change) => Buffer.from(change).toString('hex')),
  }),
);
