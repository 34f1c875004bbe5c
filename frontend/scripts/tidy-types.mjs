// Makes modules of plain types out of what tygo writes into src/generated.
// tygo works on one package at a time: it does not know that an embedded
// struct's fields are inlined in JSON, what a type of another package is, or
// which strings a named string type may hold. All three are told here.
import { readFileSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'

const folder = new URL('../src/generated/', import.meta.url).pathname
const modules = readdirSync(folder).filter((f) => f.endsWith('.ts')).map((f) => f.slice(0, -3))

// The JSON names of this module are all in lower case, so a field that keeps a
// capital has no JSON name. Of the type's own name it is embedded, and its
// fields are inlined; of any other, the struct is not one that is sent.
function inlineEmbedded(text) {
  return text.replace(/^export interface (\w+)(<.*?>)? \{\n([\s\S]*?)^\}/gm, (whole, name, parameters, body) => {
    const parents = []
    const own = body.replace(/^ {2}([A-Z]\w*)\??: ([\w.]+);.*\n/gm, (line, field, type) => {
      if (type !== field && !type.endsWith('.' + field)) return line
      parents.push(type)
      return ''
    })
    if (/^ {2}[A-Z]/m.test(own)) return ''  // never leaves Go
    const heirs = parents.length ? ` extends ${parents.join(', ')}` : ''
    return `export interface ${name}${parameters ?? ''}${heirs} {\n${own}}`
  })
}

// `export type T = string` with constants of T becomes their union.
function unionsOfConstants(text) {
  const words = new Map()
  for (const [, type, word] of text.matchAll(/^export const \w+: (\w+) = ("[^"]*")/gm)) {
    words.set(type, [...(words.get(type) ?? []), word])
  }
  return text.replace(/^export type (\w+) = string;/gm, (line, type) =>
    words.has(type) ? `export type ${type} = ${words.get(type).join(' | ')};` : line)
}

// Constants would be code; what a page needs of them it asks the core.
function withoutConstants(text) {
  return text.replace(/^(\/\*\*\n( \*.*\n)*? \*\/\n)?export const .*\n/gm, '')
}

function withoutStrayComments(text) {
  return text.replace(/^\/\*\*\n( \*.*\n)*? \*\/\n(?!export)/gm, '').replace(/\n{3,}/g, '\n\n')
}

function tidy(name, text) {
  let out = text
    .replace(/ \/\* (int\d*|uint\d*|float\d*|rune|bool) \*\//g, '')
    .replace(/any \/\* (\w+)\.(\w+) \*\//g, (whole, pkg, type) => (modules.includes(pkg) ? `${pkg}.${type}` : whole))
  out = withoutStrayComments(withoutConstants(unionsOfConstants(inlineEmbedded(out))))
  const used = modules.filter((m) => m !== name && new RegExp(`[^\\w.]${m}\\.[A-Z]`).test(out.replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '')))
  const imports = used.map((m) => `import type * as ${m} from './${m}'\n`).join('')
  return `${imports}${out}`
}

for (const name of modules) {
  const path = join(folder, name + '.ts')
  const out = tidy(name, readFileSync(path, 'utf8'))
  const unknown = out.match(/any \/\*.*?\*\//)
  if (unknown) {
    console.error(`${path}: no TypeScript for ${unknown[0]}: add its package to tygo.yaml`)
    process.exitCode = 1
  }
  writeFileSync(path, out)
}
