// The document as npm automerge 1.0 (pure JavaScript, an implementation of its own) reads and writes it: scalars are
// plain strings there, text is a list of letters. It knows nothing of the project but the document itself.

import A from 'automerge'

export const load = (bytes, actor) => A.load(bytes, { actorId: actor })
export const save = (doc) => A.save(doc)
export const heads = (doc) => A.Backend.getHeads(A.Frontend.getBackendState(doc))
export const changes = (before, after) => A.getChanges(before, after)
// Read again from what it saves: the view that automerge 1.0 patches as changes come in forgets one of two
// contradicting values when its own actor is the lower one; the document it holds and saves has both.
export const merge = (doc, all) => A.load(A.save(A.applyChanges(doc, all)[0]))
export const values = (object, key) => Object.values(A.getConflicts(object, key) ?? { only: object[key] }).map(plain)
export const isMap = (value) =>
  value !== null && typeof value === 'object' && !(value instanceof A.Text) && !Array.isArray(value)

function plain(value) {
  return value instanceof A.Text ? value.toString() : value
}

export function edit(doc, wanted) {
  return A.change(doc, { message: 'Changed from the other side', time: 1930000000 }, (d) => {
    const part = d.parts[wanted.part]
    part.position = 'cylinder 4'
    part.quantity = 7
    part.use_once = false
    part.number = 'AB-1204'
    d.parts[wanted.fresh] = { name: 'thrust washer', quantity: 3, use_once: true, note: new A.Text('from the other side\n') }
    const text = d.sheets[wanted.sheet].text
    const at = text.toString().indexOf('dry')
    text.deleteAt(at, 3)
    text.insertAt(at, ...'bone dry 🔩')
    d.assemblies[wanted.assembly].struck = 'it is the same one'
  })
}
