// A file on its way to the server, and how much of it has gone: `fetch` does not tell that.

function headersOf(text: string): Headers {
  const headers = new Headers();
  for (const line of text.trim().split(/\r?\n/u)) {
    const colon = line.indexOf(':');
    if (colon > 0) headers.append(line.slice(0, colon).trim(), line.slice(colon + 1).trim());
  }
  return headers;
}

/**
 * In place of `fetch`, for `createSend`: sends this file as the body of whatever request it is given. The file is read from the
 * disk as it goes, and again from its beginning when a session had to be renewed in between.
 */
export function carrying(file: Blob, gone: (bytes: number) => void, make: () => XMLHttpRequest = () => new XMLHttpRequest()): (request: Request) => Promise<Response> {
  return (request) =>
    new Promise((resolve, reject) => {
      const going = make();
      going.open(request.method, request.url);
      request.headers.forEach((value, name) => going.setRequestHeader(name, value));
      going.responseType = 'blob';
      going.upload.onprogress = (event) => gone(event.loaded);
      going.onload = () => {
        const { status, statusText } = going;
        const whole = going.response as Blob;
        resolve(new Response(whole.size > 0 ? whole : null, { status, statusText, headers: headersOf(going.getAllResponseHeaders()) }));
      };
      const broke = () => reject(new TypeError('the connection broke while a file was on its way'));
      going.onerror = broke;
      going.onabort = broke;
      gone(0);
      going.send(file);
    });
}
