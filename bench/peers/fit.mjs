// FIT files read whole by decoders of the open protocol.
//   fit.mjs fitsdk|fit-file-parser FILE         a peer; answers counts and sums
//   fit.mjs fitsdk|fit-file-parser batch FILE...  reads them all and ends
// Both check the file's checksum.
import fs from 'node:fs'
import { serve } from './peer.mjs'

const [which, ...files] = process.argv.slice(2)

function version(name) {
  const path = new URL(`node_modules/${name}/package.json`, import.meta.url)
  return JSON.parse(fs.readFileSync(path, 'utf8')).version
}

async function decoder() {
  if (which === 'fitsdk') {
    const { Decoder, Stream } = await import('@garmin/fitsdk')
    return {
      name: `fitsdk ${version('@garmin/fitsdk')}`,
      read: async (bytes) => new Decoder(Stream.fromBuffer(bytes)).read().messages,
      lists: (m) => [m.recordMesgs, m.lapMesgs, m.sessionMesgs, m.eventMesgs],
      heart: 'heartRate',
    }
  }
  const { default: Parser } = await import('fit-file-parser')
  const options = { force: false, mode: 'list', speedUnit: 'm/s', lengthUnit: 'm' }
  return {
    name: `fit-file-parser ${version('fit-file-parser')}`,
    read: (bytes) => new Parser(options).parseAsync(bytes),
    lists: (m) => [m.records, m.laps, m.sessions, m.events],
    heart: 'heart_rate',
  }
}

const peer = await decoder()
if (files[0] === 'batch') {
  for (const file of files.slice(1)) await peer.read(fs.readFileSync(file))
} else {
  const bytes = fs.readFileSync(files[0])
  await serve(peer.name, () => peer.read(bytes), (messages) => {
    const lists = peer.lists(messages).map((list) => list ?? [])
    const numbers = lists.map((list) => list.length)
    for (const key of ['power', peer.heart, 'cadence', 'distance']) {
      const values = lists[0].map((record) => record[key]).filter((v) => v !== undefined && v !== null)
      numbers.push(values.length, values.reduce((sum, v) => sum + v, 0))
    }
    return numbers
  })
}
