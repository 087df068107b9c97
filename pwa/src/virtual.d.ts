declare const __APP_VERSION__: string;
declare const __ENGINE_VERSION__: string;
declare const __PUSH_WORDS__: Record<string, Record<string, string | { one: string; other: string }>>;
