export default function Rider() {
  return <h1>Rider</h1>;
}
