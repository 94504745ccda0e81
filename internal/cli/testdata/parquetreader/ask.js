// Asks an independent columnar engine a question in SQL from standard input and
// prints its rows as JSON.
const { DuckDBInstance } = require('@duckdb/node-api')

async function main () {
  let sql = ''
  for await (const part of process.stdin) sql += part
  const db = await DuckDBInstance.create(':memory:')
  const reader = await (await db.connect()).runAndReadAll(sql)
  console.log(JSON.stringify(reader.getRowObjectsJson()))
}

main().catch(e => { console.error(e.message); process.exit(1) })
