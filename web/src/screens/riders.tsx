export default function Riders() {
  return <h1>Riders</h1>;
}
