/**
 * Solves A x = b for each column of b, A symmetric and positive definite, by Cholesky's method.
 * A is n x n row by row, b n x m; both are overwritten, b with x. A pivot that is not positive
 * leaves its unknown at 0.
 */
export function solveSymmetric(a: Float64Array, b: Float64Array, n: number, m: number): void {
  for (let j = 0; j < n; j++) {
    let pivot = a[j * n + j]!;
    for (let k = 0; k < j; k++) pivot -= a[j * n + k]! ** 2;
    const d = pivot > 1e-12 ? Math.sqrt(pivot) : Infinity;
    a[j * n + j] = d;
    for (let i = j + 1; i < n; i++) {
      let s = a[i * n + j]!;
      for (let k = 0; k < j; k++) s -= a[i * n + k]! * a[j * n + k]!;
      a[i * n + j] = s / d;
    }
  }
  for (let c = 0; c < m; c++) {
    for (let i = 0; i < n; i++) {
      let s = b[i * m + c]!;
      for (let k = 0; k < i; k++) s -= a[i * n + k]! * b[k * m + c]!;
      b[i * m + c] = s / a[i * n + i]!;
    }
    for (let i = n - 1; i >= 0; i--) {
      let s = b[i * m + c]!;
      for (let k = i + 1; k < n; k++) s -= a[k * n + i]! * b[k * m + c]!;
      b[i * m + c] = s / a[i * n + i]!;
    }
  }
}
