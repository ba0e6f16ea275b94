// Requests to the page's own server; an answer that is an error is thrown with its words.

export class Trouble extends Error {
  constructor(status, error) {
    super(error.message || "");
    this.status = status;
    this.where = error.where || "";
    this.hint = error.try || "";
  }
  get text() {
    return [this.message, this.where && `(${this.where})`, this.hint && `– ${this.hint}`].filter(Boolean).join(" ");
  }
}

async function answered(request) {
  let answer;
  try {
    answer = await request;
  } catch {
    throw new Trouble(0, { message: "" });
  }
  const data = answer.status === 204 ? {} : await answer.json().catch(() => ({}));
  // an answer may tell of an error of some work; one that is itself an error carries its status
  if ((data.error && data.status) || !answer.ok) throw new Trouble(data.status || answer.status, data.error || { message: answer.statusText });
  return data;
}

export const get = (path, query = {}) => {
  const words = new URLSearchParams(query).toString();
  return answered(fetch(words ? `${path}?${words}` : path));
};

export const post = (path, body = {}) => answered(fetch(path, {
  method: "POST",
  headers: { "content-type": "application/json" },
  body: JSON.stringify(body),
}));

export function send(path, file, fields = {}) {
  const form = new FormData();
  for (const [key, value] of Object.entries(fields)) form.append(key, value);
  form.append("file", file, file.name);
  return answered(fetch(path, { method: "POST", body: form }));
}

// A file sent with word of how much of it has gone, for one that takes a while.
export function sendWatched(path, file, watched) {
  return answered(new Promise((done, failed) => {
    const form = new FormData();
    form.append("file", file, file.name);
    const ask = new XMLHttpRequest();
    ask.upload.onprogress = (e) => { if (e.lengthComputable) watched(e.loaded / e.total); };
    ask.onload = () => done(new Response(ask.responseText, { status: ask.status, headers: { "content-type": "application/json" } }));
    ask.onerror = failed;
    ask.open("POST", path);
    ask.send(form);
  }));
}
