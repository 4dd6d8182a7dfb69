// Meets a document of the project with another implementation: reads what the project saved, edits it, and later
// takes the project's own changes in. Everything goes through files in one folder; it judges nothing.
//
//   node meet.mjs modern|early edit FOLDER    ours.automerge, wanted.json → theirs.automerge, theirs.json, changes.json
//   node meet.mjs modern shown FOLDER         ours.automerge, wanted.json → changes.json
//   node meet.mjs modern|early merge FOLDER   theirs.automerge, ours.json → merged.json

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'

const [, , name, task, folder] = process.argv
const other = await import(`./${name}.mjs`)
const read = (file) => new Uint8Array(readFileSync(join(folder, file)))
const json = (file) => JSON.parse(readFileSync(join(folder, file), 'utf8'))
const write = (file, value) => writeFileSync(join(folder, file), JSON.stringify(value))

/** Every entry of every kind, each field with every value that stands for it. */
function everything(doc) {
  const kinds = {}
  for (const root of Object.keys(doc)) {
    if (!other.isMap(doc[root])) continue
    kinds[root] = {}
    for (const id of Object.keys(doc[root])) {
      const fields = {}
      for (const field of Object.keys(doc[root][id])) fields[field] = other.values(doc[root][id], field)
      kinds[root][id] = fields
    }
  }
  return { heads: other.heads(doc).toSorted(), kinds }
}

if (task === 'edit') {
  const wanted = json('wanted.json')
  const doc = other.load(read('ours.automerge'), wanted.actor)
  write('read.json', everything(doc))
  const edited = other.edit(doc, wanted)
  write('theirs.json', everything(edited))
  write('changes.json', other.changes(doc, edited).map((change) => Buffer.from(change).toString('hex')))
  writeFileSync(join(folder, 'theirs.automerge'), other.save(edited))
} else if (task === 'shown') {
  const wanted = json('wanted.json')
  const doc = other.load(read('ours.automerge'), wanted.actor)
  write('changes.json', other.changes(doc, other.shown(doc, wanted)).map((change) => Buffer.from(change).toString('hex')))
} else if (task === 'merge') {
  const changes = json('ours.json').map((hex) => new Uint8Array(Buffer.from(hex, 'hex')))
  write('merged.json', everything(other.merge(other.load(read('theirs.automerge')), changes)))
} else {
  throw new Error(`no task ${task}`)
}
