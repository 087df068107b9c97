// An IndexedDB that outlives its process: every committed transaction is on disk before the page hears "complete".
import { appendFileSync, existsSync, readFileSync, truncateSync } from "node:fs";
import { deserialize, serialize } from "node:v8";
import "../../../pwa/node_modules/fake-indexeddb/auto/index.mjs";
import FDBTransaction from "../../../pwa/node_modules/fake-indexeddb/build/esm/FDBTransaction.js";
import ObjectStore from "../../../pwa/node_modules/fake-indexeddb/build/esm/lib/ObjectStore.js";

const LENGTH_BYTES = 4;
const SMALL_RECORD_BYTES = 400;

/** What a record takes up on the phone's disk, roughly: its pictures' bytes. */
function sizeOf(value) {
  const bytes = value.bytes ?? value.value;
  return SMALL_RECORD_BYTES + (bytes instanceof ArrayBuffer ? bytes.byteLength : 0);
}

const nameOf = (store, key) => `${store}\u0000${JSON.stringify(key)}`;

/** The file of committed transactions, and a limit on what fits. */
class Disk {
  #file;
  #changes = new WeakMap(); // a transaction's rollback log -> what it has changed so far
  #sizes = new Map();
  #records = new Map();
  limit_bytes = Number.POSITIVE_INFINITY;

  constructor(file) {
    this.#file = file;
    if (existsSync(file)) this.#read();
  }

  /** Transactions as they were committed; a last one cut off by a kill never completed, and goes. */
  #read() {
    const content = readFileSync(this.#file);
    let at = 0;
    while (at + LENGTH_BYTES <= content.length) {
      const end = at + LENGTH_BYTES + content.readUInt32LE(at);
      if (end > content.length) break;
      this.#apply(deserialize(content.subarray(at + LENGTH_BYTES, end)));
      at = end;
    }
    truncateSync(this.#file, at);
  }

  #apply(changes) {
    for (const change of changes) {
      if (change.do === "clear") {
        for (const [name, record] of [...this.#records]) if (record.store === change.store) this.#drop(name);
      } else if (change.do === "delete") this.#drop(nameOf(change.store, change.key));
      else {
        const name = nameOf(change.store, change.key);
        this.#records.set(name, change);
        this.#sizes.set(name, sizeOf(change.value));
      }
    }
  }

  #drop(name) {
    this.#records.delete(name);
    this.#sizes.delete(name);
  }

  /** What was on the disk when the page was opened: [store, value] pairs. */
  held() {
    return [...this.#records.values()].map((record) => [record.store, record.value]);
  }

  note(rollback_log, change) {
    if (!rollback_log) return;
    if (!this.#changes.has(rollback_log)) this.#changes.set(rollback_log, []);
    this.#changes.get(rollback_log).push(change);
  }

  refuseIfFull(store, key, value) {
    let used = 0;
    for (const size of this.#sizes.values()) used += size;
    const before = this.#sizes.get(nameOf(store, key)) ?? 0;
    if (used - before + sizeOf(value) > this.limit_bytes) throw new DOMException("full", "QuotaExceededError");
  }

  commit(rollback_log) {
    const changes = this.#changes.get(rollback_log);
    if (!changes) return;
    this.#apply(changes);
    const content = serialize(changes);
    const head = Buffer.alloc(LENGTH_BYTES);
    head.writeUInt32LE(content.length);
    appendFileSync(this.#file, Buffer.concat([head, content]));
  }
}

/** Put IndexedDB on a file. `fill` gets what the file holds, once the page has opened its database. */
export function mount(file) {
  const disk = new Disk(file);
  let filling = true;
  const { storeRecord, deleteRecord, clear } = ObjectStore.prototype;
  ObjectStore.prototype.storeRecord = function (record, no_overwrite, rollback_log) {
    if (rollback_log && !filling) {
      const key = record.key ?? record.value[this.keyPath];
      disk.refuseIfFull(this.name, key, record.value);
    }
    const key = storeRecord.call(this, record, no_overwrite, rollback_log);
    if (!filling) disk.note(rollback_log, { do: "put", store: this.name, key, value: record.value });
    return key;
  };
  ObjectStore.prototype.deleteRecord = function (key, rollback_log) {
    if (!filling) disk.note(rollback_log, { do: "delete", store: this.name, key });
    return deleteRecord.call(this, key, rollback_log);
  };
  ObjectStore.prototype.clear = function (rollback_log) {
    if (!filling) disk.note(rollback_log, { do: "clear", store: this.name });
    return clear.call(this, rollback_log);
  };
  const { dispatchEvent } = FDBTransaction.prototype;
  FDBTransaction.prototype.dispatchEvent = function (event) {
    if (event.type === "complete") disk.commit(this._rollbackLog);
    return dispatchEvent.call(this, event);
  };
  return {
    limit: (bytes) => {
      disk.limit_bytes = bytes ?? Number.POSITIVE_INFINITY;
    },
    /** Open the page's database on what the disk holds. */
    fill: async (store) => {
      const names = [...new Set(disk.held().map(([name]) => name))];
      await store.open();
      if (names.length > 0)
        await store.write(names, async (tx) => {
          for (const [name, value] of disk.held()) await tx.objectStore(name).put(value);
        });
      filling = false;
    },
  };
}
