// Checks cleaned sessions with tools that know nothing of plateside:
//
//   npm install && node check.js FILE.zip...
//
// - the descriptor against the published Data Package 2.0 profile, by ajv, where the profile is in
//   testdata/cleaned-datapackage-2.0.json (without it this part is left out, and said)
// - every table by the version 1 library: header, types, constraints, keys, references
// - size and SHA-256 of every file
//
// It ends with 1 when anything is wrong.
'use strict'

const crypto = require('crypto')
const fs = require('fs')
const path = require('path')
const Ajv = require('ajv').default
const addFormats = require('ajv-formats').default
const { Package } = require('datapackage')
const JSZip = require('jszip')

const profile = path.join(__dirname, '..', '..', 'testdata', 'cleaned-datapackage-2.0.json')

// byProfile returns what the version 2 profile says against a descriptor.
function byProfile(descriptor) {
  if (!fs.existsSync(profile)) {
    console.log('  version 2 profile: not here, not checked')
    return []
  }
  const ajv = new Ajv({ strict: false, allErrors: true, validateFormats: true })
  addFormats(ajv)
  const validate = ajv.compile(JSON.parse(fs.readFileSync(profile, 'utf8')))
  const problems = validate(descriptor) ? [] : validate.errors.map((e) => `profile: ${e.instancePath} ${e.message}`)
  console.log(`  version 2 profile: ${problems.length} problems`)
  return problems
}

// byBytes returns the files whose size or hash is not the one declared.
async function byBytes(zip, descriptor) {
  const problems = []
  for (const r of descriptor.resources) {
    const entry = zip.file(r.path)
    if (!entry) {
      problems.push(`${r.path}: missing`)
      continue
    }
    const data = await entry.async('nodebuffer')
    if (data.length !== r.bytes) problems.push(`${r.path}: ${data.length} bytes, ${r.bytes} declared`)
    if ('sha256:' + crypto.createHash('sha256').update(data).digest('hex') !== r.hash) problems.push(`${r.path}: hash`)
  }
  console.log(`  size and hash: ${descriptor.resources.length} files, ${problems.length} problems`)
  return problems
}

// byVersion1 returns what the version 1 library says against the package and its rows.
async function byVersion1(file) {
  const problems = []
  const pkg = await Package.load(file, { strict: false })
  if (!pkg.valid) problems.push(...pkg.errors.map((e) => `version 1: ${e.message}`))
  let rows = 0
  for (const resource of pkg.resources) {
    try {
      const read = await resource.read({ keyed: true, relations: Boolean(resource.schema.foreignKeys.length) })
      rows += read.length
    } catch (e) {
      problems.push(`${resource.name}: ${[e, ...(e.errors || [])].map((x) => x.message).join('; ')}`)
    }
  }
  console.log(`  version 1 library: ${pkg.resources.length} tables, ${rows} rows, ${problems.length} problems`)
  return problems
}

async function main(files) {
  if (files.length === 0) {
    console.error('usage: node check.js FILE.zip...')
    return 2
  }
  let wrong = 0
  for (const file of files) {
    console.log(file)
    let problems
    try {
      const zip = await JSZip.loadAsync(fs.readFileSync(file), { checkCRC32: true })
      const descriptor = JSON.parse(await zip.file('datapackage.json').async('string'))
      problems = [...byProfile(descriptor), ...(await byBytes(zip, descriptor)), ...(await byVersion1(file))]
    } catch (e) {
      problems = [e.message]
    }
    problems.forEach((p) => console.log('  ' + p))
    wrong += problems.length
  }
  return wrong > 0 ? 1 : 0
}

main(process.argv.slice(2)).then((code) => process.exit(code))
