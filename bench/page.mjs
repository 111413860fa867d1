// page.mjs BASE COOKIE TURNS: seconds of a rider's page and of a blank one, a line a turn.
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { chromium } from '../web/node_modules/playwright-core/index.mjs'

const [base, cookie, turns] = process.argv.slice(2)
const [name, value] = cookie.split('=')

async function seconds(address, ready) {
  const folder = mkdtempSync(path.join(tmpdir(), 'plumbline-page-'))
  const browser = await chromium.launchPersistentContext(folder, {
    executablePath: '/usr/bin/chromium', headless: true, chromiumSandbox: false,
    args: ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
  })
  try {
    await browser.addCookies([{ name, value, url: base }])
    const page = await browser.newPage()
    const begun = process.hrtime.bigint()
    await page.goto(base + address, { waitUntil: 'load' })
    if (ready !== undefined) await page.waitForSelector(ready)
    return Number(process.hrtime.bigint() - begun) / 1e9
  } finally {
    await browser.close()
    rmSync(folder, { recursive: true, force: true })
  }
}

for (let turn = 0; turn < Number(turns); turn++) {
  const ours = await seconds('/riders/1', 'main figure svg')
  const blank = await seconds('/api/1/session')
  console.log(`${ours} ${blank}`)
}
