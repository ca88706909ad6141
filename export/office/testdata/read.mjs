// Reads a Parquet file with hyparquet and prints its schema and rows as JSON.
// node read.mjs FOLDER-OF-HYPARQUET FILE
import { readFileSync } from 'node:fs'
import { pathToFileURL } from 'node:url'

const [folder, file] = process.argv.slice(2)
const { parquetMetadata, parquetReadObjects } = await import(pathToFileURL(folder + '/node_modules/hyparquet/src/node.js'))
const bytes = readFileSync(file)
const buffer = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength)
const metadata = parquetMetadata(buffer)
const rows = await parquetReadObjects({ file: buffer })
console.log(JSON.stringify({ metadata, rows }, (_, v) => typeof v === 'bigint' ? Number(v) : v))
