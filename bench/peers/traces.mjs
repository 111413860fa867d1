// The columns of a ride as JSON, by JSON.stringify; the answer is how long the text is.
import { readFileSync } from 'node:fs'
import { serve } from './peer.mjs'

const columns = {}
for (const line of readFileSync(process.argv[2], 'utf8').trimEnd().split('\n')) {
  const [name, ...values] = line.split(' ')
  columns[name] = values.map(Number)
}
await serve(`JSON.stringify of Node.js ${process.versions.node}`, () => JSON.stringify(columns),
  text => [text.length])
