export default function WhoFirst() {
  return <h1>WhoFirst</h1>;
}
