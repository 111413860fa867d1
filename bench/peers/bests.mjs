// Power of FIT files, second by second, through the protocol's own decoder: bests.mjs OUT FILE...
// OUT gets, a file, the number of seconds and then the watts, as int32; gaps are 0.
import fs from 'node:fs'
import { Decoder, Stream } from '@garmin/fitsdk'

const [out, ...files] = process.argv.slice(2)
const parts = []
for (const file of files) {
  const { messages } = new Decoder(Stream.fromBuffer(fs.readFileSync(file))).read()
  const records = messages.recordMesgs
  const first = records[0].timestamp.getTime() / 1000
  const last = records[records.length - 1].timestamp.getTime() / 1000
  const watts = new Int32Array(last - first + 2)
  watts[0] = last - first + 1
  for (const record of records) {
    watts[record.timestamp.getTime() / 1000 - first + 1] = record.power ?? 0
  }
  parts.push(Buffer.from(watts.buffer))
}
fs.writeFileSync(out, Buffer.concat(parts))
