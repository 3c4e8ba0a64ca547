"""What has its place beside and on the mat: instruments, job sheet, frog's slip, a short's words, the top rail."""
