// The document as npm @automerge/automerge reads and writes it: scalars are ImmutableString there, a plain string is
// text that merges. It knows nothing of the project but the document itself.

import * as A from '@automerge/automerge'

export const load = (bytes, actor) => A.load(bytes, { actor })
export const save = (doc) => A.save(doc)
export const heads = (doc) => A.getHeads(doc)
export const changes = (before, after) => A.getChanges(before, after)
export const merge = (doc, all) => A.applyChanges(doc, all)[0]
export const values = (object, key) => Object.values(A.getConflicts(object, key) ?? { only: object[key] }).map(plain)
export const isMap = (value) =>
  value !== null && typeof value === 'object' && !(value instanceof A.ImmutableString) && !Array.isArray(value)

function plain(value) {
  return value instanceof A.ImmutableString ? value.toString() : value
}

export function edit(doc, wanted) {
  const word = (text) => new A.ImmutableString(text)
  return A.change(doc, { message: 'Changed from the other side', time: 1930000000 }, (d) => {
    const part = d.parts[wanted.part]
    part.position = word('cylinder 4')
    part.quantity = 7
    part.use_once = false
    // What a program that does not mind the difference would write: text where we write a scalar.
    part.number = 'AB-1204'
    d.parts[wanted.fresh] = { name: word('thrust washer'), quantity: 3, use_once: true, note: 'from the other side\n' }
    const at = d.sheets[wanted.sheet].text.indexOf('dry')
    A.splice(d, ['sheets', wanted.sheet, 'text'], at, 3, 'bone dry 🔩')
    d.assemblies[wanted.assembly].struck = word('it is the same one')
  })
}

/** Puts the value that is shown over a contradiction, and takes a value away. */
export function shown(doc, wanted) {
  const value = doc.parts[wanted.part].decision_why
  return A.change(doc, { message: 'Put what was shown', time: 1930000000 }, (d) => {
    d.parts[wanted.part].decision_why = new A.ImmutableString(value.toString())
    delete d.parts[wanted.part].quantity
  })
}
