;;; -*- lexical-binding: t -*-
;; A sitting in Emacs, as `neovim.lua' has one: a day is opened, typed in, asked about, mended and formatted. Each step says what
;; the result must be, and Emacs exits with an error where it is not.
;;
;; The server is set up by the lines of the project's README.

(require 'package)
(package-initialize)
(require 'markdown-mode)
(require 'eglot)
(require 'flymake)
(setq make-backup-files nil create-lockfiles nil auto-save-default nil)

(defun sitting-check (what is-so found)
  (unless is-so
    (message "%s: %S" what found)
    (kill-emacs 1)))

(defun sitting-wait (what is-so)
  (let ((until (+ (float-time) 30)) (is-there nil))
    (sitting-go-on)
    (while (not (or (setq is-there (funcall is-so)) (> (float-time) until)))
      (accept-process-output nil 0.05))
    (sitting-check what is-there (sitting-found))))

(defun sitting-go-on ()
  "Starts at once what Emacs starts behind a command or when idle: without a terminal it is never idle."
  (run-hooks 'post-command-hook)
  (when (eglot-current-server)
    (eglot--signal-textDocument/didChange)
    (flymake-start)))

(defun sitting-found ()
  "The findings in this file: the words that each is on, and its message."
  (mapcar (lambda (it) (cons (buffer-substring (flymake-diagnostic-beg it) (flymake-diagnostic-end it))
                             (flymake-diagnostic-text it)))
          (flymake-diagnostics)))

(defun sitting-set-up ()
  "Takes the README's lines between its heading for Emacs and what follows them."
  (with-temp-buffer
    (insert-file-contents (getenv "README"))
    (re-search-forward "^Emacs 30.*\n")
    (let ((lines ""))
      (while (looking-at "\\(    .*\\)?\n")
        (setq lines (concat lines (match-string 0)))
        (forward-line))
      (sitting-check "the README has no lines for Emacs" (string-match-p "eglot" lines) lines)
      (eval (car (read-from-string (concat "(progn " lines ")"))) t))))

(defun sitting-at (words)
  (goto-char (point-min))
  (sitting-check "it is not there" (search-forward words nil t) words))

(defun sitting-told ()
  "The hover text of the word at point."
  (let ((told nil))
    (eglot-hover-eldoc-function (lambda (text &rest _) (setq told (substring-no-properties text))))
    (sitting-wait "nothing is told" (lambda () told))
    told))

(defun sitting-change (from to)
  (sitting-at from)
  (replace-match to t t))

(sitting-set-up)
(find-file "days/2026-04-11.md")
(sitting-wait "no server" #'eglot-current-server)
(sitting-check "the book is the project" (equal (file-truename (project-root (eglot--project (eglot-current-server))))
                                                (file-truename (expand-file-name "../")))
               (eglot--project (eglot-current-server)))

;; Typed in: letters of two and four bytes before the place that is wrong.
(sitting-change "It came out" "At 9 °C ± é 🏍 it came out `@sag.rear.ridre`, and once more")
(sitting-wait "the slip is not found" #'sitting-found)
(sitting-check "where the slip is" (equal (caar (sitting-found)) "sag.rear.ridre") (sitting-found))
(sitting-at "sag.rear.ridre")
(let ((action (car (eglot-code-actions (match-beginning 0) (match-end 0) "quickfix"))))
  (sitting-check "quick fixes" action action)
  (eglot-execute (eglot-current-server) action))
(sitting-wait "the slip is still found" (lambda () (null (sitting-found))))

(sitting-at "sag.rear.ride")
(sitting-check "hover on a figure" (string-match-p "105" (sitting-told)) (sitting-told))
(sitting-at "aboar")
(sitting-check "hover on a key" (string-match-p "aboard" (sitting-told)) (sitting-told))

(sitting-at "\"whi")
(let ((found (xref-backend-definitions 'eglot (xref-backend-identifier-at-point 'eglot))))
  (sitting-check "definition" (string-match-p "machines/whin.md" (format "%s" (xref-item-location (car found)))) found))

;; A new block, whose key is being written.
(goto-char (point-max))
(insert "\n```change\nfork.re\n```\n")
(sitting-at "fork.re")
(let* ((found (eglot-completion-at-point))
       (names (all-completions "re" (nth 2 found))))
  (sitting-check "completion" (and (cl-find "fork.rebound" names :test #'string-prefix-p)
                                   (cl-every (lambda (name) (string-prefix-p "fork." name)) names))
                 names))
(sitting-change "fork.re\n" "fork.rebound   = \"2 clicks in\"\nbecause = \"to try it\"\n")
(eglot-format-buffer)
(sitting-at "fork.rebound = \"2 clicks in\"\nbecause      = \"to try it\"")
(sitting-wait "the change is well" (lambda () (null (sitting-found))))

(let ((hints (jsonrpc-request (eglot-current-server) :textDocument/inlayHint
                              (list :textDocument (eglot--TextDocumentIdentifier)
                                    :range (list :start (eglot--pos-to-lsp-position (point-min))
                                                 :end (eglot--pos-to-lsp-position (point-max)))))))
  (sitting-check "hints" (string-match-p "105" (format "%s" hints)) hints))

;; It renames no files, and the server refuses because the name is a file's.
(sitting-at "\"whi")
(let ((refused (condition-case why (progn (eglot-rename "gorse") nil) (error (format "%s" why)))))
  (sitting-check "a rename is refused" (and refused (string-match-p "rename" refused)) refused))

(save-buffer)
(sitting-check "something is wrong in the end" (null (sitting-found)) (sitting-found))
(eglot-shutdown (eglot-current-server))
(message "done")
