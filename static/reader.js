// The reader of codes for browsers without one: a worker, so that the page
// stays quick while a picture is searched. It is given pictures and answers
// with what is in each. Both files of the decoder are our own server's.
importScripts("zxing/zxing-wasm-reader.js?v=98e44c8063");

ZXingWASM.prepareZXingModule({
  overrides: { locateFile: () => new URL("zxing/zxing_reader.wasm?v=2ebda08a93", location.href).href },
});

const formats = { QRCode: "qr_code", DataMatrix: "data_matrix", Code128: "code_128" };

onmessage = async ({ data: picture }) => {
  try {
    const found = await ZXingWASM.readBarcodes(picture, { formats: Object.keys(formats), textMode: "Plain" });
    postMessage(found.map((code) => ({
      // A GS1 symbol is told from another only by its symbology identifier.
      text: (code.contentType === "GS1" ? code.symbologyIdentifier : "") + code.text,
      format: formats[code.symbology],
      corners: Object.values(code.position),
    })));
  } catch {
    postMessage(null);
  }
};
