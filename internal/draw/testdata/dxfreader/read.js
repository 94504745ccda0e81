// Prints a DXF given on standard input as JSON: layers and entities.
const Parser = require("dxf-parser");
let text = "";
process.stdin.on("data", (part) => (text += part));
process.stdin.on("end", () => {
  const P = Parser.default || Parser;
  const d = new P().parseSync(text);
  process.stdout.write(
    JSON.stringify({
      version: d.header.$ACADVER,
      layers: Object.keys(d.tables.layer.layers),
      entities: d.entities.map((e) => ({
        type: e.type,
        layer: e.layer,
        closed: !!e.shape,
        points: (e.vertices || [e.startPoint]).map((v) => [v.x, v.y]),
        text: e.text || "",
      })),
    })
  );
});
