// Enter goes to the next puppy, as a kitchen scale's rhythm wants it.
const form = document.querySelector("[data-weigh]");
if (form) {
  const boxes = [...form.querySelectorAll(".weight-box")];
  boxes.forEach((box, at) => {
    box.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      const next = boxes[at + 1];
      if (!next) return;
      event.preventDefault();
      next.focus();
      next.select();
    });
  });
}
