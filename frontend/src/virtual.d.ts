declare module "virtual:manual" {
  const manual: Record<string, Record<string, { what: string; takes: string; usual: string; example: string }>>;
  export default manual;
}
