// The peers' side of bench/peer.h: say what runs, then run when asked.
import readline from 'node:readline'

export async function serve(name, call, answer) {
  await call()
  console.log(`ready ${name}`)
  for await (const line of readline.createInterface({ input: process.stdin })) {
    if (line.trim() !== 'run') break
    const cpu = process.cpuUsage()
    const begun = process.hrtime.bigint()
    const result = await call()
    const wall = Number(process.hrtime.bigint() - begun) / 1e9
    const used = process.cpuUsage(cpu)
    const numbers = answer(result)
    console.log(`${Math.min(wall, (used.user + used.system) / 1e6)} ${numbers.length} ${numbers.join(' ')}`)
  }
}
